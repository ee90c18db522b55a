"""What a value that cannot be read may mean: a near spelling, a year, a number. Pure."""

import re
from collections.abc import Iterable, Mapping
from difflib import get_close_matches

from breeding.animals.typed.births import MONTHS
from breeding.records.incoming.cells import plain

_NEAR = 0.72
_YEAR = re.compile(r"(?<!\d)(19[5-9]\d|20\d\d)(?!\d)")
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
# Words of other tongues for sexes, states and origins: proposed, never taken by themselves.
_WORDS = {
    "unknown": "unsicher unsure fraglich unbekannt inconnu onbekend unclear",
    "female": "w weiblich weibchen femelle hembra vrouw vrouwtje",
    "male": "männlich männchen mâle macho man mannetje rüde",
    "here": "lebt lebend lebendig vorhanden da vivant viva vivo levend ok active",
    "died": "tot gestorben verstorben eingegangen mort muerto dood overleden d †",
    "left": "verkauft abgegeben weg vendu vendido verkocht rehomed traded swapped",
    "on loan": "verliehen leihe prêté prestado uitgeleend",
    "wild": "wildfang wf sauvage salvaje wildvang import imported",
    "born here": "eigene nachzucht nz homebred",
    "elsewhere": "fremd zugekauft gekauft purchased",
}
# What stands in place of a name, in small letters, where nobody knows the animal or the person.
_NOBODY = re.compile(
    r"(unbekannt|inconnu|desconocid|onbekend)\w*|unknown|(not|nicht) (known|bekannt)|unclear"
    r"|unsure|unklar|unsicher|fraglich|k\. ?a\.|keine angaben?|wei(ss|ß) nicht"
)
_OF_A_SEX = re.compile(
    r"\b(male|female|sire|dam|father|mother|männchen|weibchen|vater|mutter|bock)\b"
)


def near(typed: str, spellings: Mapping[str, str] | Iterable[str]) -> str:
    """The spelling that was most likely meant, or what it stands for; empty for none.

    >>> near("P. leopoldii", ["P. leopoldi", "P. motoro"]), near("shoe", ["P. motoro"])
    ('P. leopoldi', '')
    """
    known = spellings if isinstance(spellings, Mapping) else {one: one for one in spellings}
    by_plain = {plain(one): stands_for for one, stands_for in known.items()}
    for words in (typed, re.sub(r"\(.*?\)", " ", typed)):
        if close := get_close_matches(plain(words)[:80], list(by_plain), n=1, cutoff=_NEAR):
            return str(by_plain[close[0]])
    return ""


def meant_by(typed: str, spellings: Mapping[str, str]) -> tuple[str, bool]:
    """What a word of another language, or one among more, stands for; and whether it says more.

    >>> spellings = {"here": "here", "alive": "here", "sold": "left"}
    >>> meant_by("lebt", spellings), meant_by("sold to Kim", spellings)
    (('here', False), ('left', True))
    """
    whole = plain(typed).strip(" ?!.()")
    parts = [part.strip("?!.,()") for part in whole.split()]
    for word in (whole, *parts):
        for spelled, stands_for in spellings.items():
            if word and (word == spelled or f" {word} " in f" {_WORDS.get(spelled, '')} "):
                return stands_for, word != whole
    close = near(whole, spellings) if len(whole) > 3 else ""
    return close, False


def means_nobody(typed: str) -> bool:
    """Whether what stands for a name says that nobody knows who it was; a number makes it a name.

    >>> [means_nobody(typed) for typed in ("Unbekannt", "unknown male", "k. A.", "unknown 2")]
    [True, True, True, False]
    """
    said = _OF_A_SEX.sub(" ", plain(typed))
    return bool(_NOBODY.fullmatch(" ".join(said.split()).strip(" ?!(),")))


def date_about(typed: str) -> str:
    """The month or the year in words about a date; empty where there is not just one year.

    >>> date_about("spring 2019"), date_about("early May 2020"), date_about("2019 or 2020")
    ('2019', '2020-05', '')
    """
    years = set(_YEAR.findall(typed))
    if len(years) != 1:
        return ""
    year: str = years.pop()
    for word in re.findall(r"[^\W\d_]{3,}", typed.casefold()):
        for number, names in enumerate(MONTHS, start=1):
            if any(name.startswith(word) for name in names):
                return f"{year}-{number:02d}"
    return year


def number_about(typed: str) -> str:
    """The one number in some words, with the unit behind it; empty where there is not just one.

    >>> number_about("ca. 31 cm"), number_about("~2,5kg"), number_about("31-33")
    ('31 cm', '2,5 kg', '')
    """
    found = _NUMBER.findall(typed)
    if len(found) != 1:
        return ""
    behind = re.match(r"\s*([a-z]{1,3}\b)?", typed.partition(found[0])[2].casefold())
    unit = behind[1] if behind and behind[1] else ""
    return f"{found[0]} {unit}".strip()
