"""What the cells of a table say: sexes, dates, shares, sizes, each refused with what is allowed."""

import datetime
import re
from collections.abc import Callable, Iterable, Mapping
from fractions import Fraction

from django.core.exceptions import ValidationError

from breeding.animals.models import Animal
from breeding.animals.typed.births import MONTHS
from breeding.animals.typed.fields import Birth, read_birth
from breeding.program.kinds import kind_words
from breeding.program.typed.measures import LengthField, MeasureField, WeightField
from breeding.program.typed.reading import NO_UNIT, read_number, read_share
from breeding.words.language import message, tell
from breeding.words.numbers import joined

NOBODY = frozenset({"", "?", "-", "–", "0", "na", "n/a", "nil", "none", "unknown", "not known"})

SEXES = {
    Animal.Sex.FEMALE: ("f", "female", "♀", "hen", "cow", "doe"),
    Animal.Sex.MALE: ("m", "male", "♂", "cock", "bull", "buck"),
    Animal.Sex.UNKNOWN: ("u", "?", "-", "unknown", "unsexed", "na", "n/a"),
}
ORIGINS = {
    Animal.Origin.WILD: ("wild", "wild caught", "wc", "w"),
    Animal.Origin.BRED_ELSEWHERE: (
        "captive bred elsewhere",
        "elsewhere",
        "bought",
        "bred elsewhere",
    ),
    Animal.Origin.BORN_HERE: ("born here", "here", "own", "home bred"),
    Animal.Origin.UNKNOWN: ("unknown", "?", "-", "na", "n/a"),
}
STATES = {
    Animal.State.HERE: ("here", "alive", "living", "present", "yes"),
    Animal.State.ON_LOAN: ("on loan", "loan", "lent"),
    Animal.State.LEFT: ("left", "sold", "gone", "away", "given away"),
    Animal.State.DIED: ("died", "dead", "deceased"),
}

FOLLOWS = "follows_what_was_typed"  # the code of errors that do not name the value themselves

DAY_FIRST, MONTH_FIRST = "day_first", "month_first"

_NUMBERS = re.compile(r"(\d{1,2})[./-](\d{1,2})[./-](\d{4})")
_MONTH_YEAR = re.compile(r"(\d{1,2})[./](\d{4})")
_WORDS = re.compile(r"(?:(\d{1,2})\.? )?([a-z]+)\.? (\d{4})")
_NOT_THAT_DATE = {  # any date of a table may be written in more ways than a birth on a page
    "not_a_date": message(
        "is not a date; write 2024-05-03, 3.5.2024 or 3/5/2024, or 2024-05 or 2024 when only that "
        "is known."
    ),
    "to_come": message("is still to come; it is entered once it has been."),
}


def plain(typed: str) -> str:
    """Small letters and single spaces, for comparing with words."""
    return " ".join(typed.replace("_", " ").casefold().split())


def refused(words: str) -> ValidationError:
    """An error whose words follow on what was typed: “both” is no sex."""
    return ValidationError(words, code=FOLLOWS)


def read_word(typed: str, words: Mapping[str, Iterable[str]], *, what: str) -> str:
    """The choice that a word stands for; refused with the first word of each choice."""
    for choice, spellings in words.items():
        if plain(typed) in spellings:
            return str(choice)
    first = [next(iter(spellings)) for spellings in words.values()]
    allowed = joined([word.upper() if len(word) == 1 else word for word in first], "or")
    raise refused(tell("is no {what}; write {allowed}.", what=what, allowed=allowed))


def numbers_of_date(typed: str) -> tuple[int, int, int] | None:
    """The three numbers of a date whose order is not said by its form: 3.5.2024, 3/5/2024."""
    match = _NUMBERS.fullmatch(_without_midnight(typed))
    if match is None:
        return None
    first, second, year = match.groups()
    return int(first), int(second), int(year)


def order_of_dates(typed: Iterable[tuple[int, str]]) -> str:
    """Whether the dates of a file are written day first or month first: one answer for all.

    `typed` are (line, date as typed). Empty when no date needs an order, or each means the same
    day either way. Raises ValidationError, with the lines, when nothing in the file tells or
    when its dates contradict each other.

    >>> order_of_dates([(2, "3.5.2024"), (3, "17.5.2024")])
    'day_first'
    >>> order_of_dates([(2, "2024-05-03"), (3, "4/4/2024")])
    ''
    """
    day_first: list[int] = []
    month_first: list[int] = []
    unsaid: list[tuple[int, str]] = []
    for line, text in typed:
        numbers = numbers_of_date(text)
        if numbers is None:
            continue
        first, second, _ = numbers
        if first > 12 >= second:
            day_first.append(line)
        elif second > 12 >= first:
            month_first.append(line)
        elif first != second:
            unsaid.append((line, text))
    if day_first and month_first:
        raise ValidationError(
            tell(
                "The dates are written in two ways: line {line} has the day first, line "
                "{other_line} the month. Write all of them alike, best as 2024-05-03.",
                line=day_first[0],
                other_line=month_first[0],
            )
        )
    if day_first:
        return DAY_FIRST
    if month_first:
        return MONTH_FIRST
    if unsaid:
        line, text = unsaid[0]
        raise ValidationError(
            tell(
                "“{text}” (line {line}) can be read day first or month first, and no other date of "
                "the table tells which; choose the order of dates.",
                text=text,
                line=line,
            )
        )
    return ""


def read_date(typed: str, order: str, *, today: datetime.date) -> Birth:
    """A date to the day, the month or the year; empty or "unknown": unknown.

    Raises ValidationError that continues a sentence which begins with what was typed.
    """
    text = _without_midnight(typed)
    if plain(text) in NOBODY:
        return Birth()
    iso = _as_iso(text, order)
    try:
        return read_birth(iso, today=today)
    except ValidationError as problem:
        params = problem.params or {}
        words = _NOT_THAT_DATE.get(problem.code or "")
        raise refused(tell(words) if words else str(params["why"])) from None


def read_full_date(typed: str, order: str, *, today: datetime.date) -> datetime.date | None:
    """A date that must be known to the day; empty: None."""
    found = read_date(typed, order, today=today)
    if found.on is not None and found.precision != Animal.Precision.DAY:
        raise refused(tell("is not a full date; write it with day and month, like 2024-05-03."))
    return found.on


def _without_midnight(typed: str) -> str:
    return re.sub(r"[T ]0?0:00(:00(\.0+)?)?$", "", typed.strip())


def _as_iso(text: str, order: str) -> str:
    """The same date as read_birth reads it; anything else comes back as it is."""
    if numbers := numbers_of_date(text):
        first, second, year = numbers
        day, month = (second, first) if order == MONTH_FIRST else (first, second)
        return f"{year:04d}-{month:02d}-{day:02d}"
    if match := _MONTH_YEAR.fullmatch(text):
        return f"{match[2]}-{int(match[1]):02d}"
    if match := _WORDS.fullmatch(plain(text)):
        day_text, word, year_text = match.groups()
        for number, names in enumerate(MONTHS, start=1):
            if len(word) >= 3 and names[0].startswith(word):
                day_part = f"-{int(day_text):02d}" if day_text else ""
                return f"{year_text}-{number:02d}{day_part}"
    return text


def read_shared(
    typed: str, is_name: Callable[[str], bool] = lambda _: False
) -> list[tuple[str, Fraction | None]]:
    """The parts of a list like "A:1/2|B:1/4": what, and its share; None where none is given.

    A part that is a name with a colon in it, by `is_name`, is that name without a share.

    >>> read_shared("Deneb:1/2|Vega")
    [('Deneb', Fraction(1, 2)), ('Vega', None)]
    """
    parts: list[tuple[str, Fraction | None]] = []
    for part in typed.split("|"):
        if is_name(part.strip()):
            parts.append((part.strip(), None))
            continue
        what, colon, share = part.rpartition(":")
        if not colon:
            what, share = part, ""
        if not what.strip():
            raise refused(tell("has a part without a name; write it like A:1/2|B:1/2."))
        parts.append((what.strip(), _share(share) if colon else None))
    return parts


def _share(typed: str) -> Fraction:
    return read_share(typed)


def filled_shares(parts: list[tuple[str, Fraction | None]]) -> list[tuple[str, Fraction]]:
    """Every part with a share: those without one divide what is left equally.

    >>> filled_shares([("A", Fraction(1, 2)), ("B", None), ("C", None)])
    [('A', Fraction(1, 2)), ('B', Fraction(1, 4)), ('C', Fraction(1, 4))]
    """
    given = sum((share for _, share in parts if share is not None), Fraction(0))
    without = sum(1 for _, share in parts if share is None)
    if given > 1 or (without and given == 1):
        raise refused(
            tell(
                "has shares that make {sum} and a part without one; together they are at most 1.",
                sum=given,
            )
            if without
            else tell("has shares that make {sum}; together they are at most 1.", sum=given)
        )
    return [(what, (1 - given) / without if share is None else share) for what, share in parts]


def read_length(typed: str, unit: str) -> int:
    """A disc width in whole millimetres; a unit beside the number wins over `unit`."""
    allowed = tell(
        "is not a {size}; write a number, or one with mm, cm or in.", size=kind_words().size
    )
    return _measure(typed, LengthField(unit=unit), allowed)


def read_weight(typed: str, unit: str) -> int:
    """A weight in whole grams; a unit beside the number wins over `unit`."""
    allowed = tell("is not a weight; write a number, or one with g, kg, oz or lb.")
    return _measure(typed, WeightField(unit=unit), allowed)


def _measure(typed: str, field: MeasureField, allowed: str) -> int:
    """What the same field on a page makes of it; beyond what is possible, it says so."""
    try:
        number, own = read_number(typed, units=field.units, places=field.places)
    except ValidationError as problem:
        if problem.code == NO_UNIT:
            raise refused(allowed) from None
        raise
    try:
        return field.stored(number, own or field.unit)
    except ValidationError as problem:
        words = tell("is not possible: {problem}", problem=problem.messages[0])
        raise refused(words) from None
