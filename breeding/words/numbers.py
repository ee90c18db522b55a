"""Shares, chances, counts, ordinals and lists, each said in one way: rounded only here."""

import math
from collections.abc import Sequence
from fractions import Fraction

from breeding.words.style import PAGE, Style

_NUMBERS = (
    *("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"),
    *("eleven", "twelve"),
)
_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")
_PARTS = {2: "half", 4: "quarter", 8: "eighth", 16: "sixteenth"}


def percent(share: float | Fraction) -> str:
    """A share in percent, everywhere alike: at most two figures after the point, half rounded up.

    What is not nothing is never written as nothing, and what is not all never as all.

    >>> percent(Fraction(3, 16)), percent(Fraction(9, 64)), percent(Fraction(1, 4))
    ('18.75 %', '14.06 %', '25 %')
    >>> percent(1e-6), percent(Fraction(99_999, 100_000)), percent(0)
    ('less than 0.01 %', 'more than 99.99 %', '0 %')
    """
    return f"{per_cent_figure(share)} %"


def per_cent_figure(share: float | Fraction) -> str:
    """The same without its sign, for a table whose heading says that it is in per cent.

    >>> per_cent_figure(Fraction(3, 16)), per_cent_figure(1e-6)
    ('18.75', 'less than 0.01')
    """
    exact = Fraction(share)
    hundredths = _hundredths(exact)
    if exact and not hundredths:
        return "less than 0.01"
    if _is_nearly_all(exact):
        return "more than 99.99"
    text = f"{hundredths // 100}.{hundredths % 100:02}".rstrip("0").rstrip(".")
    return f"{'-' if exact < 0 else ''}{text}"


def as_shown(share: float | Fraction) -> Fraction:
    """The share as `percent` shows it, for comparing with what somebody reads and types.

    What is said only to be less or more than a figure stays as it is.

    >>> as_shown(0.140625), as_shown(Fraction(1, 10**6)), as_shown(0)
    (Fraction(703, 5000), Fraction(1, 1000000), Fraction(0, 1))
    """
    exact = Fraction(share)
    hundredths = _hundredths(exact)
    if not hundredths or _is_nearly_all(exact):
        return exact
    return Fraction(hundredths if exact > 0 else -hundredths, 10_000)


def _hundredths(exact: Fraction) -> int:
    """Hundredths of a per cent, half rounded up, without the sign."""
    return math.floor(abs(exact) * 10_000 + Fraction(1, 2))


def _is_nearly_all(exact: Fraction) -> bool:
    return _hundredths(exact) == 10_000 and abs(exact) < 1 - Fraction(1, 10**9)


def spelled(number: int) -> str:
    """Small numbers in letters, larger ones in figures.

    >>> spelled(7), spelled(12_000)
    ('seven', '12,000')
    """
    return _NUMBERS[number] if 0 <= number < len(_NUMBERS) else f"{number:,}"


def counted(number: int, one: str, several: str = "", *, spells: bool = False) -> str:
    """So many of something; `several` where the plural is not made with an s.

    >>> counted(1, "pup"), counted(3, "pup"), counted(2, "is", "are")
    ('1 pup', '3 pups', '2 are')
    >>> counted(1, "generation", spells=True), counted(2, "generation", spells=True)
    ('one generation', 'two generations')
    """
    return f"{spelled(number) if spells else number} {one_or_more(number, one, several)}"


def amount(value: float, one: str, several: str = "", *, decimals: int = 1) -> str:
    """So much of something that need not be whole, with no zeros that say nothing.

    >>> amount(1.0, "generation"), amount(2.375, "generation"), amount(112.25, "day")
    ('1 generation', '2.4 generations', '112.3 days')
    """
    scale = 10**decimals
    rounded = Fraction(math.floor(Fraction(value) * scale + Fraction(1, 2)), scale)
    text = f"{float(rounded):.{decimals}f}".rstrip("0").rstrip(".") if decimals else str(rounded)
    return f"{text} {one if rounded == 1 else several or f'{one}s'}"


def one_or_more(number: int, one: str, several: str = "") -> str:
    """The word that goes with so many.

    >>> one_or_more(1, "founder"), one_or_more(0, "founder"), one_or_more(2, "is", "are")
    ('founder', 'founders', 'are')
    """
    return one if number == 1 else several or f"{one}s"


def ordinal(number: int) -> str:
    """Which one in a row, from 1.

    >>> ordinal(2), ordinal(9), ordinal(21), ordinal(112)
    ('second', '9th', '21st', '112th')
    """
    if number <= len(_ORDINALS):
        return _ORDINALS[number - 1]
    ending = {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{'th' if number % 100 in (11, 12, 13) else ending}"


def part(share: Fraction) -> str:
    """A share as a noun where there is one.

    >>> part(Fraction(1, 8)), part(Fraction(3, 8))
    ('eighth', '3/8')
    """
    return _PARTS.get(share.denominator, str(share)) if share.numerator == 1 else str(share)


def a_part(share: Fraction) -> str:
    """The same at the beginning of a sentence.

    >>> a_part(Fraction(1, 8)), a_part(Fraction(1, 2)), a_part(Fraction(3, 8))
    ('an eighth', 'half', '3/8')
    """
    word = part(share)
    if not word.isalpha() or word == "half":
        return word
    return f"{'an' if word == 'eighth' else 'a'} {word}"


def places(known: Fraction, possible: int) -> str:
    """How many of so many places are taken, in whole ones, where a place may count in part.

    A part is never rounded to none of the places or to all of them.

    >>> places(Fraction(3), 6), places(Fraction(26, 5), 14)
    ('3', 'about 5')
    >>> places(Fraction(1, 25), 14), places(Fraction(1399, 100), 14)
    ('less than 1', 'more than 13')
    """
    if known.denominator == 1:
        return str(known)
    nearest = round(known)
    if nearest == 0:
        return "less than 1"
    return f"more than {possible - 1}" if nearest == possible else f"about {nearest}"


def joined(parts: Sequence[str], last: str = "and") -> str:
    """a, b and c.

    >>> joined(["Rigel", "Spica", "Mizar"]), joined(["Rigel", "Spica"], "or")
    ('Rigel, Spica and Mizar', 'Rigel or Spica')
    """
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {last} {parts[-1]}"


def some(names: Sequence[str], most: int, style: Style = PAGE) -> str:
    """So many names that one reads, and how many more there are.

    >>> some(["Rigel", "Spica"], 2), some(["Rigel", "Spica", "Mizar"], 2)
    ('Rigel and Spica', 'Rigel, Spica and 1 more')
    """
    more = len(names) - most
    if more <= 0:
        return joined(names)
    return joined([*names[:most], f"{spelled(more) if style.spells else more} more"])
