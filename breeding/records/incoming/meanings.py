"""What a column of a table can mean, and a guess at it from the words of its header."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Meaning:
    """One thing a column can hold, with the words by which its header is recognised."""

    key: str
    label: str
    words: tuple[str, ...]
    how: str  # how its values are written


MEANINGS = (
    Meaning(
        "code",
        "Code",
        ("code", "id", "animal id", "ident", "identity", "number", "no", "nr", "tag", "ref"),
        "what no two animals share; without this column the program gives codes",
    ),
    Meaning("call_name", "Call name", ("call name", "name", "called", "animal"), "in words"),
    Meaning(
        "sire",
        "Sire",
        ("sire", "father", "sire id", "sire code", "father id", "sire name", "dad"),
        "the code of a row or of an animal on record; several possible ones as A:1/2|B:1/2",
    ),
    Meaning(
        "dam",
        "Dam",
        ("dam", "mother", "dam id", "dam code", "mother id", "dam name", "mum", "mom"),
        "the code of a row or of an animal on record",
    ),
    Meaning("sex", "Sex", ("sex", "gender", "m f", "f m"), "F, M, or empty"),
    Meaning(
        "born",
        "Born",
        ("born", "birth", "birth date", "date of birth", "birthday", "dob", "born on", "hatched"),
        "2024-05-03, 2024-05 or 2024; also 3.5.2024 or 3/5/2024",
    ),
    Meaning(
        "species",
        "Species",
        ("species", "kind", "species name", "scientific name", "taxon"),
        "the accepted or the trade name; a hybrid as motoro:1/2|leopoldi:1/2",
    ),
    Meaning("strain", "Strain", ("strain", "colour", "color", "morph", "variety"), "name"),
    Meaning(
        "origin",
        "Origin",
        ("origin", "source", "from", "provenance"),
        "wild caught, captive bred elsewhere, born here, unknown",
    ),
    Meaning(
        "country",
        "Country it comes from",
        ("country", "country of origin", "origin country", "country it comes from"),
        "in words",
    ),
    Meaning("state", "State", ("state", "status", "alive"), "here, on loan, left, died"),
    Meaning(
        "state_on",
        "In this state since",
        ("since", "state since", "state on", "state date", "left on", "sold on"),
        "a full date",
    ),
    Meaning(
        "died_on",
        "Died on",
        ("died", "died on", "death", "date of death", "dod", "dead"),
        "a full date; the animal is then recorded as died",
    ),
    Meaning("markings", "Markings", ("markings", "marks", "spots", "pattern"), "in words"),
    Meaning("note", "Note", ("note", "notes", "remark", "remarks", "comment", "comments"), "any"),
    Meaning(
        "disc_width",
        "Disc width",
        ("disc width", "disk width", "width", "dw", "size", "disc"),
        "a number, or one with its unit",
    ),
    Meaning("weight", "Weight", ("weight", "mass"), "a number, or one with its unit"),
    Meaning(
        "measured_on",
        "Measured on",
        ("measured", "measured on", "date measured", "weighed on"),
        "a full date",
    ),
)
BY_KEY: Mapping[str, Meaning] = {meaning.key: meaning for meaning in MEANINGS}

_LENGTH_UNITS = ("mm", "cm", "in")
_WEIGHT_UNITS = ("g", "kg", "oz", "lb")
# Kept as they stand, in the field of the same name.
TEXTS = ("country", "markings", "note")
DATE_MEANINGS = ("born", "state_on", "died_on", "measured_on")
UNITS = {"disc_width": _LENGTH_UNITS, "weight": _WEIGHT_UNITS}


def plain_words(header: str) -> str:
    """A header in small letters, with single spaces for everything else, and split humps.

    >>> plain_words("Date_of-Birth"), plain_words("sireId"), plain_words("Weight (kg)")
    ('date of birth', 'sire id', 'weight kg')
    """
    split = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", header)
    return " ".join(re.sub(r"[\W_]+", " ", split).casefold().split())


def unit_in(header: str, meaning: str) -> str:
    """The unit a header names for its column, or nothing.

    >>> unit_in("disc width [mm]", "disc_width"), unit_in("width", "disc_width")
    ('mm', '')
    """
    words = plain_words(header).split()
    return next((unit for unit in UNITS.get(meaning, ()) if unit in words[1:]), "")


def guess(headers: Sequence[str]) -> dict[str, int]:
    """Meaning to column, from the header's words alone; a meaning is given to one column only.

    The words are tried in their order, so of "no" and "id" the latter is the code.

    >>> guess(["ID", "Father", "Mother", "shoe size"])
    {'code': 0, 'sire': 1, 'dam': 2}
    >>> guess(["weight (kg)"])
    {'weight': 0}
    """
    found: dict[str, int] = {}
    plain = [plain_words(header) for header in headers]
    for meaning in MEANINGS:
        units = UNITS.get(meaning.key, ())
        spellings = [w for word in meaning.words for w in (word, *(f"{word} {u}" for u in units))]
        for spelling in spellings:
            if spelling in plain and plain.index(spelling) not in found.values():
                found[meaning.key] = plain.index(spelling)
                break
    return found
