"""Letters as they are looked for: small, without accents; the same here and in the database."""

import re

# Each letter of Europe's Latin alphabets with what is typed where a keyboard does not have it.
_PLAIN = {
    "a": "àáâãäåāăąǎ",
    "c": "çćĉċč",
    "d": "ďđð",
    "e": "èéêëēĕėęě",
    "g": "ĝğġģ",
    "h": "ĥħ",
    "i": "ìíîïĩīĭįı",
    "j": "ĵ",
    "k": "ķ",
    "l": "ĺļľł",
    "n": "ñńņň",
    "o": "òóôõöøōŏő",
    "r": "ŕŗř",
    "s": "śŝşšș",
    "t": "ţťŧț",
    "u": "ùúûüũūŭůűų",
    "w": "ŵ",
    "y": "ýÿŷ",
    "z": "źżž",
}
# Capitals too: lower() of a database may know only those of English.
ONE_FOR_ONE = {
    written: plain
    for plain, letters in _PLAIN.items()
    for letter in letters
    for written in dict.fromkeys((letter, letter.upper()))
    if len(written) == 1 and written != plain.upper()
}
ONE_FOR_MORE = {"ß": "ss", "ẞ": "ss", "æ": "ae", "Æ": "ae", "œ": "oe", "Œ": "oe", "þ": "th",
                "Þ": "th"}  # fmt: skip
# What is left out or written otherwise in codes and numbers: 26-01-2 is typed as 26 01 2.
BETWEEN = " -–./\\_#,:;()'’\"+&*\t\r\n"
MOST_LETTERS = 100  # of what is looked for
_TABLE = str.maketrans({**ONE_FOR_ONE, **ONE_FOR_MORE})
_GAPS = str.maketrans("", "", BETWEEN)


def folded(text: str) -> str:
    """As it is looked for.

    >>> folded("Bärbel LÜND, Straße")
    'barbel lund, strasse'
    """
    return text.translate(_TABLE).lower()


def compact(text: str) -> str:
    """A name without what stands between its parts.

    >>> compact("26-01 / 2"), compact("040 098.100111917")
    ('26012', '040098100111917')
    """
    return folded(text).translate(_GAPS)


def asked_words(typed: str) -> tuple[str, ...]:
    """The words of what was typed, each once, as they are looked for.

    >>> asked_words("  Vega (R-12), vega ")
    ('vega', 'r-12')
    """
    found = re.findall(r"[^\s,;()“”\"]+", folded(typed[:MOST_LETTERS]).replace("\x00", " "))
    return tuple(dict.fromkeys(found))


def trigrams(word: str) -> tuple[str, ...]:
    """Each three letters of a word that follow each other.

    >>> trigrams("vega"), trigrams("r1")
    (('veg', 'ega'), ())
    """
    return tuple(dict.fromkeys(word[place : place + 3] for place in range(len(word) - 2)))
