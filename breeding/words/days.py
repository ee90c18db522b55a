"""Days as they are written, and how far away they are."""

import datetime
from collections.abc import Callable

from breeding.words.numbers import counted

Date = datetime.date
FEW_DAYS = 120  # below that a distance is said in days; four calendar months have at least so many


def plain_day(on: Date) -> str:
    """Tue 3 Mar 2026."""
    return f"{on:%a} {on.day} {on:%b} {on.year}"


def near_day(on: Date, today: Date) -> str:
    """Tue 3 Mar, with the year only when it is not this one."""
    return f"{on:%a} {short_day(on, today)}"


def long_day(on: Date) -> str:
    """3 March 2026."""
    return f"{on.day} {on:%B} {on.year}"


def short_day(on: Date, today: Date | None = None) -> str:
    """3 Mar, with the year when it is not this one or `today` is not given."""
    is_near = today is not None and on.year == today.year
    return f"{on.day} {on:%b}" + ("" if is_near else f" {on.year}")


def stretch(first: Date, last: Date, *, few_days: int = FEW_DAYS) -> str:
    """How long from one day to a later one.

    Below `few_days` in days. From there on in calendar months, from the day of one month to the
    same day of another, rounded to the nearest: what is left over counts as one more when it is
    half of it or more. From 24 such months on in years, from one anniversary to the next, rounded
    to the nearest in the same way.

    >>> stretch(Date(2026, 11, 28), Date(2027, 3, 28)), stretch(Date(2026, 3, 3), Date(2028, 3, 2))
    ('4 months', '2 years')
    >>> stretch(Date(2024, 6, 9), Date(2026, 12, 8)), stretch(Date(2024, 6, 8), Date(2026, 12, 9))
    ('2 years', '3 years')
    """
    if (last - first).days < few_days:
        return counted((last - first).days, "day")
    months = _nearest(first, last, 1)
    return counted(months, "month") if months < 24 else counted(_nearest(first, last, 12), "year")


def _nearest(first: Date, last: Date, months: int) -> int:
    """How many times so many months lie between two days, to the nearest."""
    whole = ((last.year - first.year) * 12 + last.month - first.month) // months
    if _days_past(first, whole * months) > last.toordinal():
        whole -= 1
    before, after = (_days_past(first, number * months) for number in (whole, whole + 1))
    return whole + (2 * (last.toordinal() - before) >= after - before)


def _days_past(first: Date, months: int) -> int:
    """The same day so many months later, the last of a shorter month, as a number of days."""
    year, month = divmod(first.year * 12 + first.month - 1 + months, 12)
    following = divmod(year * 12 + month + 1, 12)
    start = _ordinal(year, month + 1)
    length = _ordinal(following[0], following[1] + 1) - start
    return start + min(first.day, length) - 1


def _ordinal(year: int, month: int) -> int:
    """The first of a month as a number of days; the month after the last year that there is too."""
    if year > datetime.MAXYEAR:
        return datetime.date.max.toordinal() + 1
    return Date(year, month, 1).toordinal()


def distance(on: Date, today: Date) -> str:
    """In how long or how long ago, by the rule of `stretch`.

    >>> distance(Date(2027, 3, 28), Date(2026, 11, 28)), distance(Date(1, 1, 1), Date(1, 1, 2))
    ('in 4 months', 'yesterday')
    """
    days = (on - today).days
    if days in (-1, 0, 1):
        return ("yesterday", "today", "tomorrow")[days + 1]
    return f"in {stretch(today, on)}" if days > 0 else f"{stretch(on, today)} ago"


def day_with_distance(on: Date, today: Date) -> str:
    """Tue 3 Mar 2026 (in 12 days)."""
    return f"{plain_day(on)} ({distance(on, today)})"


def born_words(born_on: Date | None, precision: str) -> str:
    """A birth date no more exact than it is known."""
    if born_on is None:
        return "unknown"
    if precision == "year":
        return f"{born_on.year}"
    if precision == "month":
        return f"{born_on:%B} {born_on.year}"
    return long_day(born_on)


def span_words(first: Date, last: Date, day: Callable[[Date], str] = long_day) -> str:
    """Two dates as a span; what the two have in common at the end is said once.

    >>> span_words(Date(2026, 8, 1), Date(2026, 8, 30))
    '1 to 30 August 2026'
    """
    start, end = day(first).split(), day(last).split()
    same = 0
    while same < min(len(start), len(end)) - 1 and start[-1 - same] == end[-1 - same]:
        same += 1
    return f"{' '.join(start[: len(start) - same])} to {' '.join(end)}"
