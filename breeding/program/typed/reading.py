"""The one reader of typed numbers: comma or point, a unit behind it, and never a guess."""

import re
import unicodedata
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.core.exceptions import ValidationError

from breeding.words.language import message, tell
from breeding.words.numbers import figure, joined, written
from breeding.words.sizes import GRAMS_PER_OUNCE, MM_PER_UNIT

NO_NUMBER = "invalid"  # the code of what is no number at all, as Django's fields have it
NO_UNIT = "unit"  # the code of a number in a unit that is not read here

# What may stand behind a number: the spelling to the unit it stands for.
LENGTH_UNITS = {"mm": "mm", "cm": "cm", "in": "in", "inch": "in", "inches": "in", '"': "in"}
WEIGHT_UNITS = {
    **{"g": "g", "gram": "g", "grams": "g", "kg": "kg"},
    **{"oz": "oz", "ounce": "oz", "ounces": "oz", "lb": "lb", "lbs": "lb"},
}
PER_CENT_SIGN = {"%": "%"}
MM_PER = {"mm": 1.0, **MM_PER_UNIT}
GRAMS_PER = {"g": 1.0, "kg": 1000.0, "oz": GRAMS_PER_OUNCE, "lb": 16 * GRAMS_PER_OUNCE}
WEIGHT_PLACES = {"kg": 3}  # 1,250 kg is what scales show; it is not 1250 kg
USUAL_PLACES = 2

_LONGEST_QUOTE = 60
_PARTS = re.compile(r"([+-]?)([0-9., ']*)([^0-9]{0,12})")
_UNIT = re.compile(r"[a-zµ°%\"./ ]*")
_GROUPED = re.compile(r"[1-9][0-9]{0,2}[.,][0-9]{3}")
_MOST_DIGITS = 40
# What keyboards and tables write for the comma, thousands, the minus, the inch and the space.
_SAME = str.maketrans(
    {
        **{"\u066b": ",", "\u066c": "'", "\u2019": "'", "\u2212": "-", "\u2033": '"'},
        **{"\u201d": '"', "\u00a0": " ", "\u2009": " ", "\u202f": " "},
    }
)


def read_number(
    typed: str, *, units: Mapping[str, str] | None = None, places: Mapping[str, int] | int | None
) -> tuple[Decimal, str]:
    """The number and the unit behind it, empty where none is; 10,5 and 10.5 are the same.

    `places`: how many digits after the point the field takes, by unit or for all; None: any.
    With two or fewer, three digits behind a single separator can be thousands, and are refused.
    Raises ValidationError, its words naming what was typed: code NO_NUMBER for what is no number,
    NO_UNIT for a unit that is not among `units`, none for a separator that is not the point.

    >>> read_number("10,5", places=2), read_number(" 10.5 cm", units=LENGTH_UNITS, places=2)
    ((Decimal('10.5'), ''), (Decimal('10.5'), 'cm'))
    >>> read_number("0,105", places=2), read_number("1,050", places=3)
    ((Decimal('0.105'), ''), (Decimal('1.050'), ''))
    """
    match = _PARTS.fullmatch(_folded(typed))
    digits = match[2].strip() if match else ""
    if match is None or not re.search("[0-9]", digits) or len(digits) > _MOST_DIGITS:
        raise _no_number(typed)
    unit = _unit(typed, match[3], units or {})
    most = places.get(unit, USUAL_PLACES) if isinstance(places, Mapping) else places
    _refuse_separators(typed, digits, most)
    return Decimal(match[1] + digits.replace(",", ".")), unit


def read_share(typed: Any) -> Fraction:
    """A share as people type it: 1/2, 0.5, 0,5, 50 % or 50%.

    Raises ValidationError for anything else, and for what is not above 0 and at most 1.

    >>> read_share("1/2"), read_share("12,5 %"), read_share("0,125")
    (Fraction(1, 2), Fraction(1, 8), Fraction(1, 8))
    """
    text = str(typed).strip()
    above, slash, below = text.partition("/")
    try:
        if slash:
            share = Fraction(_whole(above), _whole(below))
        else:
            number, unit = read_number(text, units=PER_CENT_SIGN, places=None)
            share = Fraction(number) / (100 if unit else 1)
    except (ValueError, ZeroDivisionError):
        raise _no_share(text) from None
    except ValidationError as problem:
        raise problem if problem.code is None else _no_share(text) from None
    if not 0 < share <= 1 or len(str(share)) > 60:
        raise ValidationError(
            tell("“{typed}” is not a share between 0 and 1 (0 to 100 %).", typed=quoted(text))
        )
    return share


def quoted(typed: str) -> str:
    """What was typed, on one line and not too long, as an error names it."""
    flat = " ".join(str(typed).replace("\x00", "").split())
    return flat if len(flat) <= _LONGEST_QUOTE else f"{flat[:_LONGEST_QUOTE]}…"


def _folded(typed: str) -> str:
    """Digits of every script as 0 to 9, and spaces alike."""
    plain = "".join(
        str(unicodedata.decimal(one, one)) if not one.isascii() else one for one in str(typed)
    )
    return plain.translate(_SAME).strip().casefold()


def _unit(typed: str, behind: str, units: Mapping[str, str]) -> str:
    word = " ".join(behind.split())
    if not word:
        return ""
    if found := units.get(word.replace(" ", "")) or units.get(word.rstrip(".")):
        return found
    if not units or not _UNIT.fullmatch(word) or not re.search('[a-z°%"]', word):
        raise _no_number(typed)
    known = joined(list(dict.fromkeys(units.values())), "or")
    raise ValidationError(
        tell(
            "“{typed}” has a unit that is not known here; write the number alone, or with {units} "
            "behind it.",
            typed=quoted(typed),
            units=known,
        ),
        code=NO_UNIT,
    )


def _refuse_separators(typed: str, digits: str, places: int | None) -> None:
    signs = re.findall(r"[^0-9]", digits)
    points = [one for one in signs if one in ".,"]
    if len(points) < len(signs):
        raise _separated(typed, "space" if " " in signs else "apostrophe", digits)
    if len(points) > 1:
        raise _separated(typed, "two" if len(points) == 2 else "several", digits)
    if places is not None and places <= USUAL_PLACES and _GROUPED.fullmatch(digits):
        whole, number = re.sub("[.,]", "", digits), float(digits.replace(",", "."))
        broken, near = (figure(number, most, trimmed=True) for most in (3, places))
        said = (
            tell(
                "“{typed}” can be read as {whole} or as {broken}; write {whole} or {near}.",
                typed=quoted(typed),
                whole=whole,
                broken=broken,
                near=near,
            )
            if places
            else tell(
                "“{typed}” can be read as {whole} or as {broken}; write {whole}.",
                typed=quoted(typed),
                whole=whole,
                broken=broken,
            )
        )
        raise ValidationError(said)


# What is wrong with the signs among digits: where it is clear what is meant, and where it is not.
_MEANT = {
    "space": message("“{typed}” has a space among its digits; write {meant}."),
    "apostrophe": message("“{typed}” has an apostrophe among its digits; write {meant}."),
    "two": message("“{typed}” has two separators; write {meant}."),
    "several": message("“{typed}” has several separators; write {meant}."),
}
_SEPARATED = {
    "space": message("“{typed}” has a space among its digits; write one number, like 10.5."),
    "apostrophe": message(
        "“{typed}” has an apostrophe among its digits; write one number, like 10.5."
    ),
    "two": message("“{typed}” has two separators; write one number, like 10.5."),
    "several": message("“{typed}” has several separators; write one number, like 10.5."),
}


def _separated(typed: str, what: str, digits: str) -> ValidationError:
    """Refused with how it is written, where the digits stand in threes and say it themselves."""
    marks = re.sub(r"[0-9]", "", digits)
    last = marks[-1]
    is_decimal = last in ".," and (len(marks) == 1 or last not in marks[:-1])
    whole, _, rest = digits.rpartition(last) if is_decimal else (digits, "", "")
    groups = re.split(r"[^0-9]", whole)
    says = groups[0] and all(len(one) == 3 for one in groups[1:]) and len(groups[0]) <= 3
    if not says:
        return ValidationError(tell(_SEPARATED[what], typed=quoted(typed)))
    meant = written("".join(groups) + (f".{rest}" if rest else ""))
    return ValidationError(tell(_MEANT[what], typed=quoted(typed), meant=meant))


def _whole(typed: str) -> int:
    text = _folded(typed)
    if not re.fullmatch(r"[0-9]{1,40}", text):  # a longer one would be worked out in full
        raise ValueError(text)
    return int(text)


def _no_number(typed: str) -> ValidationError:
    return ValidationError(
        tell("“{typed}” is not a number; write it like 38 or 38.5.", typed=quoted(typed)),
        code=NO_NUMBER,
    )


def _no_share(typed: str) -> ValidationError:
    return ValidationError(
        tell("“{typed}” is not a share; write it like 1/2, 0.5 or 50 %.", typed=quoted(typed))
    )
