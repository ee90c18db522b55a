"""Days as they are written, and how far away they are."""

import datetime
from collections.abc import Callable

from breeding.words.clock import clock_time
from breeding.words.language import message_many, tell, tell_as, tell_many
from breeding.words.months import month, month_of_date, short_month, short_weekday, weekday

Date = datetime.date
FEW_DAYS = 120  # below that a distance is said in days; four calendar months have at least so many


def plain_day(on: Date) -> str:
    """Tue 3 Mar 2026."""
    return tell_as(
        "a date",
        "{weekday} {day} {month} {year}",
        weekday=short_weekday(on),
        day=on.day,
        month=short_month(on),
        year=on.year,
    )


def near_day(on: Date, today: Date) -> str:
    """Tue 3 Mar, with the year only when it is not this one."""
    if on.year != today.year:
        return plain_day(on)
    return _weekday_and_day(short_weekday(on), on.day, short_month(on))


def long_day(on: Date) -> str:
    """3 March 2026."""
    return _day_of_year(on.day, month_of_date(on), on.year)


def short_day(on: Date, today: Date | None = None) -> str:
    """3 Mar, with the year when it is not this one or `today` is not given."""
    if today is not None and on.year == today.year:
        return _day(on.day, short_month(on))
    return _day_of_year(on.day, short_month(on), on.year)


def heading_day(on: Date, *, with_year: bool = False) -> str:
    """Tuesday 3 March, as a page of one day is headed.

    >>> heading_day(Date(2026, 3, 3)), heading_day(Date(2026, 3, 3), with_year=True)
    ('Tuesday 3 March', 'Tuesday 3 March 2026')
    """
    if not with_year:
        return _weekday_and_day(weekday(on), on.day, month_of_date(on))
    return tell_as(
        "a date",
        "{weekday} {day} {month} {year}",
        weekday=weekday(on),
        day=on.day,
        month=month_of_date(on),
        year=on.year,
    )


def weekday_and_number(on: Date) -> str:
    """Tue 3: a day within a month that is named above it."""
    return tell_as("a date", "{weekday} {day}", weekday=short_weekday(on), day=on.day)


def month_and_year(on: Date) -> str:
    """March 2026."""
    return tell_as("a month", "{month} {year}", month=month(on), year=on.year)


def _weekday_and_day(weekday: str, day: int, month: str) -> str:
    return tell_as("a date", "{weekday} {day} {month}", weekday=weekday, day=day, month=month)


def _day(day: int, month: str) -> str:
    return tell_as("a date", "{day} {month}", day=day, month=month)


def _day_of_year(day: int, month: str, year: int) -> str:
    return tell_as("a date", "{day} {month} {year}", day=day, month=month, year=year)


STRETCHES = {
    "days": message_many("{number} day", "{number} days"),
    "months": message_many("{number} month", "{number} months"),
    "years": message_many("{number} year", "{number} years"),
}
AHEAD = {
    "days": message_many("in {number} day", "in {number} days"),
    "months": message_many("in {number} month", "in {number} months"),
    "years": message_many("in {number} year", "in {number} years"),
}
PAST = {
    "days": message_many("{number} day ago", "{number} days ago"),
    "months": message_many("{number} month ago", "{number} months ago"),
    "years": message_many("{number} year ago", "{number} years ago"),
}


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
    return tell_many(*_plural(STRETCHES, first, last, few_days, _nearest))


def age_words(born_on: Date, today: Date, died_on: Date | None = None) -> str:
    """How old one is, or became: in days, then in the months and the years that are full.

    >>> born = Date(2026, 11, 3)
    >>> age_words(Date(2020, 3, 17), Date(2026, 12, 1)), age_words(born, Date(2028, 11, 2))
    ('6 years old', '23 months old')
    >>> age_words(born, Date(2026, 11, 30)), age_words(born, born)
    ('27 days old', 'born today')
    >>> age_words(born, Date(2028, 11, 30), died_on=Date(2026, 11, 13))
    'lived 10 days'
    """
    if died_on == born_on:
        return tell("died on the day of its birth")
    if died_on is not None and died_on > born_on:
        return tell("lived {age}", age=reached(born_on, died_on))
    if born_on == today:
        return tell("born today")
    return tell("{age} old", age=reached(born_on, today))


def reached(born_on: Date, on: Date, *, few_days: int = FEW_DAYS) -> str:
    """The age that somebody has reached: nobody is 7 before the seventh anniversary.

    >>> reached(Date(2024, 6, 9), Date(2026, 12, 8)), reached(Date(2024, 6, 9), Date(2026, 6, 8))
    ('2 years', '23 months')
    >>> reached(Date(2026, 7, 1), Date(2026, 10, 31)), reached(Date(2026, 7, 1), Date(2026, 11, 1))
    ('122 days', '4 months')
    """
    return tell_many(*_plural(STRETCHES, born_on, on, few_days, _whole))


def _plural(
    sentences: dict[str, tuple[str, str]],
    first: Date,
    last: Date,
    few_days: int,
    count: Callable[[Date, Date, int], int],
) -> tuple[str, str, int]:
    """The sentence for the unit of the stretch, for one and for several, and how many there are.

    count: how many times so many months lie between the two days.
    """
    days, months = (last - first).days, count(first, last, 1)
    if days < few_days or months * 30 < few_days:
        return *sentences["days"], days
    if months < 24:
        return *sentences["months"], months
    return *sentences["years"], count(first, last, 12)


def _whole(first: Date, last: Date, months: int) -> int:
    """How many times so many months lie between two days in full."""
    whole = ((last.year - first.year) * 12 + last.month - first.month) // months
    return whole - (_days_past(first, whole * months) > last.toordinal())


def _nearest(first: Date, last: Date, months: int) -> int:
    """How many times so many months lie between two days, to the nearest."""
    whole = _whole(first, last, months)
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
    """In how long by the rule of `stretch`, or how long ago in months and years that are full: who
    was born here 6 years and 11 months ago is 6 years old.

    >>> distance(Date(2027, 3, 28), Date(2026, 11, 28)), distance(Date(1, 1, 1), Date(1, 1, 2))
    ('in 4 months', 'yesterday')
    >>> distance(Date(2019, 12, 18), Date(2026, 12, 1))
    '6 years ago'
    """
    days = (on - today).days
    if days in (-1, 0, 1):
        return (tell("yesterday"), tell("today"), tell("tomorrow"))[days + 1]
    if days > 0:
        return tell_many(*_plural(AHEAD, today, on, FEW_DAYS, _nearest))
    return tell_many(*_plural(PAST, on, today, FEW_DAYS, _whole))


def day_with_distance(on: Date, today: Date) -> str:
    """Tue 3 Mar 2026 (in 12 days)."""
    return tell_as("a date", "{day} ({distance})", day=plain_day(on), distance=distance(on, today))


def born_words(born_on: Date | None, precision: str) -> str:
    """A birth date no more exact than it is known."""
    if born_on is None:
        return tell("unknown")
    if precision == "year":
        return f"{born_on.year}"
    if precision == "month":
        return month_and_year(born_on)
    return long_day(born_on)


def born_mark(born_on: Date | None, precision: str) -> str:
    """The same in no language: to compare by, however words are written later.

    >>> born_mark(Date(2026, 3, 14), "month"), born_mark(None, "day")
    ('2026-03', 'unknown')
    """
    if born_on is None:
        return "unknown"
    return born_on.isoformat()[: {"year": 4, "month": 7}.get(precision, 10)]


def span_words(first: Date, last: Date, day: Callable[[Date], str] | None = None) -> str:
    """Two dates as a span; what the two have in common at the end is said once.

    `day` writes both in another way, each whole.

    >>> span_words(Date(2026, 8, 1), Date(2026, 8, 30))
    '1 to 30 August 2026'
    >>> span_words(Date(2026, 8, 1), Date(2026, 9, 3))
    '1 August to 3 September 2026'
    """
    day = day or long_day
    if day is not long_day or first.year != last.year:
        return tell_as("two days", "{first} to {last}", first=day(first), last=day(last))
    named = {"month": month_of_date(last), "year": last.year, "day": last.day}
    if first.month == last.month:
        return tell_as(
            "two days of one month",
            "{first_day} to {day} {month} {year}",
            first_day=first.day,
            **named,
        )
    return tell_as(
        "two days of one year",
        "{first_day} {first_month} to {day} {month} {year}",
        first_day=first.day,
        first_month=month_of_date(first),
        **named,
    )


def moment_words(at: datetime.datetime, today: Date | None = None) -> str:
    """Tue 3 Mar 2026, 14:02; without the year while it is that of `today`.

    >>> moment_words(datetime.datetime(2026, 3, 3, 14, 2))
    'Tue 3 Mar 2026, 14:02'
    """
    on = at.date()
    day = near_day(on, today) if today else plain_day(on)
    return tell_as("a moment", "{day}, {time}", day=day, time=clock_time(at))


def day_in_figures(on: Date) -> str:
    """2026-03-03."""
    return tell_as(
        "a date in figures",
        "{year}-{month}-{day}",
        year=f"{on.year:04}",
        month=f"{on.month:02}",
        day=f"{on.day:02}",
    )


def moment_in_figures(at: datetime.datetime) -> str:
    """2026-03-03 14:02, as one types it."""
    return tell_as(
        "a moment in figures", "{day} {time}", day=day_in_figures(at.date()), time=clock_time(at)
    )


def span_without_year(first: Date, last: Date) -> str:
    """3 to 8 Apr, or 3 Mar to 8 Apr.

    >>> span_without_year(Date(2026, 4, 3), Date(2026, 4, 8))
    '3 to 8 Apr'
    """
    if (first.year, first.month) != (last.year, last.month):
        return tell_as(
            "two days",
            "{first} to {last}",
            first=short_day(first, first),
            last=short_day(last, last),
        )
    return tell_as(
        "two days of one month",
        "{first_day} to {day} {month}",
        first_day=first.day,
        day=last.day,
        month=short_month(last),
    )


def short_span(first: Date, last: Date, today: Date) -> str:
    """3 Mar to 8 Apr, each with its year when it is not this one."""
    return span_words(first, last, lambda on: short_day(on, today))
