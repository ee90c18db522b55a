"""Shares, chances, counts, ordinals and lists, each said in one way: rounded only here."""

import math
from collections.abc import Sequence
from fractions import Fraction

from breeding.words.language import message_as, says, tell, tell_as, tell_many
from breeding.words.style import PAGE, Style

NUMBERS = (
    message_as("a number in letters", "no"),
    message_as("a number in letters", "one"),
    message_as("a number in letters", "two"),
    message_as("a number in letters", "three"),
    message_as("a number in letters", "four"),
    message_as("a number in letters", "five"),
    message_as("a number in letters", "six"),
    message_as("a number in letters", "seven"),
    message_as("a number in letters", "eight"),
    message_as("a number in letters", "nine"),
    message_as("a number in letters", "ten"),
    message_as("a number in letters", "eleven"),
    message_as("a number in letters", "twelve"),
)
ORDINALS = (
    message_as("which in a row", "first"),
    message_as("which in a row", "second"),
    message_as("which in a row", "third"),
    message_as("which in a row", "fourth"),
    message_as("which in a row", "fifth"),
    message_as("which in a row", "sixth"),
    message_as("which in a row", "seventh"),
    message_as("which in a row", "eighth"),
)
ENDINGS = {
    1: message_as("which in a row", "{number}st"),
    2: message_as("which in a row", "{number}nd"),
    3: message_as("which in a row", "{number}rd"),
}
PARTS = {
    2: message_as("a part", "half"),
    4: message_as("a part", "quarter"),
    8: message_as("a part", "eighth"),
    16: message_as("a part", "sixteenth"),
}
PARTS_WITH_ARTICLE = {
    2: message_as("a part, with its article", "half"),
    4: message_as("a part, with its article", "a quarter"),
    8: message_as("a part, with its article", "an eighth"),
    16: message_as("a part, with its article", "a sixteenth"),
}


@says
def figure(
    value: float | Fraction, decimals: int = 0, *, grouped: bool = False, trimmed: bool = False
) -> str:
    """A number with the marks of the reader's language.

    grouped: with a mark between thousands. trimmed: without noughts behind the decimal mark.

    >>> figure(38.25, 1), figure(1500.5, 1, grouped=True), figure(7.50, 2, trimmed=True)
    ('38.2', '1,500.5', '7.5')
    """
    number = float(value) if isinstance(value, Fraction) else value
    text = f"{number:,.{decimals}f}" if grouped else f"{number:.{decimals}f}"
    return written(text.rstrip("0").rstrip(".") if trimmed and "." in text else text)


@says
def written(text: str) -> str:
    """A number that has a point, and commas between thousands, in the reader's language.

    >>> written("1,500.5")
    '1,500.5'
    """
    whole, point, rest = text.partition(".")
    thousands = tell_as("mark between thousands", ",") if "," in whole else ","
    mark = tell_as("decimal mark", ".") if point else ""
    return f"{whole.replace(',', thousands)}{mark}{rest}"


def percent(share: float | Fraction) -> str:
    """A share in percent, everywhere alike: at most two figures after the point, half rounded up.

    What is not nothing is never written as nothing, and what is not all never as all.

    >>> percent(Fraction(3, 16)), percent(Fraction(9, 64)), percent(Fraction(1, 4))
    ('18.75 %', '14.06 %', '25 %')
    >>> percent(1e-6), percent(Fraction(99_999, 100_000)), percent(0)
    ('less than 0.01 %', 'more than 99.99 %', '0 %')
    """
    return tell_as("a share", "{number} %", number=per_cent_figure(share))


@says
def per_cent_figure(share: float | Fraction) -> str:
    """The same without its sign, for a table whose heading says that it is in per cent.

    >>> per_cent_figure(Fraction(3, 16)), per_cent_figure(1e-6)
    ('18.75', 'less than 0.01')
    """
    exact = Fraction(share)
    hundredths = _hundredths(exact)
    if exact and not hundredths:
        return tell("less than {number}", number=written("0.01"))
    if _is_nearly_all(exact):
        return tell("more than {number}", number=written("99.99"))
    text = f"{hundredths // 100}.{hundredths % 100:02}".rstrip("0").rstrip(".")
    return f"{'-' if exact < 0 else ''}{written(text)}"


@says
def points(share: float | Fraction) -> str:
    """A difference between two shares in points of a hundred, as short as it still says something.

    >>> points(0.04375), points(Fraction(1, 100)), points(0.0004)
    ('4.4', '1', '0.04')
    """
    exact = abs(Fraction(share))
    if exact < Fraction(1, 1000):
        return per_cent_figure(exact)
    tenths = math.floor(exact * 1000 + Fraction(1, 2))
    return written(f"{tenths // 10}.{tenths % 10}".removesuffix(".0"))


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
    above, below = abs(exact.numerator) * 20_000, exact.denominator
    return (above + below) // (2 * below)


def _is_nearly_all(exact: Fraction) -> bool:
    return _hundredths(exact) == 10_000 and abs(exact) < 1 - Fraction(1, 10**9)


def spelled(number: int) -> str:
    """Small numbers in letters, larger ones in figures.

    >>> spelled(7), spelled(12_000)
    ('seven', '12,000')
    """
    if 0 <= number < len(NUMBERS):
        return tell_as("a number in letters", NUMBERS[number])
    return figure(number, grouped=True)


@says
def counted(number: int, one: str, several: str = "", *, spells: bool = False) -> str:
    """So many of something; `several` where the plural is not made with an s.

    >>> counted(1, "pup"), counted(3, "pup"), counted(2, "is", "are")
    ('1 pup', '3 pups', '2 are')
    >>> counted(1, "generation", spells=True), counted(2, "generation", spells=True)
    ('one generation', 'two generations')
    """
    return f"{spelled(number) if spells else number} {one_or_more(number, one, several)}"


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
    if number <= len(ORDINALS):
        return tell_as("which in a row", ORDINALS[number - 1])
    if number % 100 in (11, 12, 13) or number % 10 not in ENDINGS:
        return tell_as("which in a row", "{number}th", number=number)
    return tell_as("which in a row", ENDINGS[number % 10], number=number)


def part(share: Fraction) -> str:
    """A share as a noun where there is one.

    >>> part(Fraction(1, 8)), part(Fraction(3, 8))
    ('eighth', '3/8')
    """
    word = PARTS.get(share.denominator) if share.numerator == 1 else None
    return tell_as("a part", word) if word else str(share)


def a_part(share: Fraction) -> str:
    """The same at the beginning of a sentence.

    >>> a_part(Fraction(1, 8)), a_part(Fraction(1, 2)), a_part(Fraction(3, 8))
    ('an eighth', 'half', '3/8')
    """
    word = PARTS_WITH_ARTICLE.get(share.denominator) if share.numerator == 1 else None
    return tell_as("a part, with its article", word) if word else str(share)


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
        return tell("less than {number}", number=1)
    if nearest == possible:
        return tell("more than {number}", number=possible - 1)
    return tell("about {number}", number=nearest)


@says
def joined(parts: Sequence[str], last: str = "and") -> str:
    """a, b and c.

    >>> joined(["Rigel", "Spica", "Mizar"]), joined(["Rigel", "Spica"], "or")
    ('Rigel, Spica and Mizar', 'Rigel or Spica')
    """
    if len(parts) < 2:
        return "".join(parts)
    several = tell_as("between the parts of a list", ", ").join(parts[:-1])
    if last == "and":
        return tell_as("a list", "{several} and {last}", several=several, last=parts[-1])
    if last == "or":
        return tell_as("a list", "{several} or {last}", several=several, last=parts[-1])
    return f"{several} {last} {parts[-1]}"


def some(names: Sequence[str], most: int, style: Style = PAGE) -> str:
    """So many names that one reads, and how many more there are.

    >>> some(["Rigel", "Spica"], 2), some(["Rigel", "Spica", "Mizar"], 2)
    ('Rigel and Spica', 'Rigel, Spica and 1 more')
    """
    more = len(names) - most
    if more <= 0:
        return joined(names)
    count = spelled(more) if style.spells else more
    return joined([*names[:most], tell_many("{count} more", "{count} more", more, count=count)])
