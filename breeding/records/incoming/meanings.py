"""What a column of a table can mean, and a guess at it from the words of its header."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils import translation
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy


@dataclass(frozen=True)
class Meaning:
    """One thing a column can hold, with the words by which its header is recognised.

    sort: how its values are read (see sorts.py); what is not a text can be asked about by value.
    """

    key: str
    label: Any
    words: tuple[str, ...]
    how: Any  # how its values are written
    sort: str = "text"
    is_needed: bool = False


_SMALL_IN = ("en",)  # where a word that heads a column has a small letter within a sentence


def within(label: object) -> str:
    """A label as it stands within a sentence of the reader's language."""
    words = str(label)
    is_small = (translation.get_language() or "en").partition("-")[0] in _SMALL_IN
    return f"{words[:1].lower()}{words[1:]}" if is_small else words


def as_written(label: object) -> str:
    """A label in the language of the code, which headers and cells are compared with."""
    with translation.override(None):
        return str(label)


MEANINGS = (
    Meaning(
        "code",
        _("Code"),
        (
            "code",
            "id",
            "animal id",
            "ident",
            "identity",
            "number",
            "no",
            "nr",
            "nummer",
            "kennung",
            "tag",
            "ref",
        ),
        _("what no two animals share; without this column the program gives codes"),
    ),
    Meaning(
        "call_name",
        _("Call name"),
        ("call name", "name", "called", "animal", "rufname"),
        _("in words"),
    ),
    Meaning(
        "chip",
        _("Chip number"),
        (
            "chip",
            "chip number",
            "chip no",
            "chip nr",
            "microchip",
            "transponder",
            "pit tag",
            "chipnummer",
        ),
        _("15 digits, or 9 or 10 characters of an older chip"),
    ),
    Meaning(
        "sire",
        _("Sire"),
        ("sire", "father", "sire id", "sire code", "father id", "sire name", "dad", "vater"),
        _("the code of a row or of an animal on record; several possible ones as A:1/2|B:1/2"),
        "parent",
    ),
    Meaning(
        "dam",
        _("Dam"),
        ("dam", "mother", "dam id", "dam code", "mother id", "dam name", "mum", "mom", "mutter"),
        _("the code of a row or of an animal on record"),
        "parent",
    ),
    Meaning(
        "sex", _("Sex"), ("sex", "gender", "m f", "f m", "geschlecht"), _("F, M, or empty"), "sex"
    ),
    Meaning(
        "born",
        _("Born"),
        (
            "born",
            "birth",
            "birth date",
            "date of birth",
            "birthday",
            "dob",
            "born on",
            "hatched",
            "geboren",
        ),
        _("2024-05-03, 2024-05 or 2024; also 3.5.2024 or 3/5/2024"),
        "birth",
    ),
    Meaning(
        "species",
        _("Species"),
        ("species", "kind", "species name", "scientific name", "taxon", "art"),
        _("the accepted or the trade name; a hybrid as motoro:1/2|leopoldi:1/2"),
        "species",
    ),
    Meaning("strain", _("Strain"), ("strain", "colour", "color", "morph", "variety"), _("name")),
    Meaning(
        "origin",
        _("Origin"),
        ("origin", "source", "from", "provenance"),
        _("wild caught, captive bred elsewhere, born here, unknown"),
        "origin",
    ),
    Meaning(
        "country",
        _("Country it comes from"),
        ("country", "country of origin", "origin country", "country it comes from"),
        _("in words"),
    ),
    Meaning(
        "state",
        pgettext_lazy("a column of a table", "State"),
        ("state", "status", "alive"),
        _("here, on loan, left, died"),
        "state",
    ),
    Meaning(
        "state_on",
        _("In this state since"),
        ("since", "state since", "state on", "state date", "left on", "sold on"),
        _("a full date"),
        "day",
    ),
    Meaning(
        "died_on",
        _("Died on"),
        ("died", "died on", "death", "date of death", "dod", "dead"),
        _("a full date; the animal is then recorded as died"),
        "day",
    ),
    Meaning(
        "markings",
        _("Markings"),
        ("markings", "marks", "spots", "pattern", "zeichnung"),
        _("in words"),
    ),
    Meaning(
        "note",
        _("Note"),
        ("note", "notes", "remark", "remarks", "comment", "comments", "bemerkung", "notiz"),
        pgettext_lazy("how a cell is written", "any"),
    ),
    Meaning(
        "disc_width",
        _("Disc width"),
        ("disc width", "disk width", "width", "dw", "size", "disc", "breite"),
        _("a number, or one with its unit"),
        "length",
    ),
    Meaning(
        "weight",
        _("Weight"),
        ("weight", "mass", "gewicht"),
        _("a number, or one with its unit"),
        "weight",
    ),
    Meaning(
        "measured_on",
        _("Measured on"),
        ("measured", "measured on", "date measured", "weighed on"),
        _("a full date"),
        "day",
    ),
)
BY_KEY: Mapping[str, Meaning] = {meaning.key: meaning for meaning in MEANINGS}

_LENGTH_UNITS = ("mm", "cm", "in")
_WEIGHT_UNITS = ("g", "kg", "oz", "lb")
# Kept as they stand, in the field of the same name.
TEXTS = ("country", "markings", "note")
UNITS = {
    "disc_width": _LENGTH_UNITS,
    "weight": _WEIGHT_UNITS,
    "widths": _LENGTH_UNITS,
    "weights": _WEIGHT_UNITS,
    "back_height": _LENGTH_UNITS,
    "girth": _LENGTH_UNITS,
    "temperature_c": ("f", "c"),
}
# What may stand behind a name in the header of a column of numbers, and says nothing else.
_BEHIND = frozenset(
    (
        *("in", "mm", "cm", "inch", "inches", "g", "gram", "grams", "kg", "oz", "lb", "lbs"),
        *("c", "f", "celsius", "fahrenheit", "mg", "l", "ppm", "eur", "usd"),
    )
)
_MEASURED = (
    *("length", "lengths", "weight", "weights", "count", "number", "money", "temperature"),
    "share",
)


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


def guess(headers: Sequence[str], meanings: Sequence[Meaning] = MEANINGS) -> dict[str, int]:
    """Meaning to column, from the header's words alone; a meaning is given to one column only.

    The words are tried in their order, so of "no" and "id" the latter is the code. The last is
    what the page itself calls the column in the reader's language, as in a list taken out of it.

    >>> guess(["ID", "Father", "Mother", "shoe size"])
    {'code': 0, 'sire': 1, 'dam': 2}
    >>> guess(["weight (kg)", "disc width in cm"])
    {'disc_width': 1, 'weight': 0}
    """
    found: dict[str, int] = {}
    plain = [plain_words(header) for header in headers]
    bare = [without_unit(words) for words in plain]
    for meaning in meanings:
        spelled = plain if meaning.sort not in _MEASURED else [*plain, *bare]
        for word in (*meaning.words, plain_words(str(meaning.label))):
            position = spelled.index(word) % len(plain) if word in spelled else -1
            if position >= 0 and position not in found.values():
                found[meaning.key] = position
                break
    return found


def without_unit(words: str) -> str:
    """The words of a header without the unit behind them.

    >>> without_unit("disc width in cm"), without_unit("breite cm"), without_unit("cm")
    ('disc width', 'breite', 'cm')
    """
    parts = words.split()
    while len(parts) > 1 and parts[-1] in _BEHIND:
        parts.pop()
    return " ".join(parts)
