"""The names of weekdays and months, and which day a week begins with, as messages."""

import datetime

from breeding.words.language import message_as, tell_as

Date = datetime.date

SHORT_WEEKDAYS = (
    message_as("weekday, short", "Mon"),
    message_as("weekday, short", "Tue"),
    message_as("weekday, short", "Wed"),
    message_as("weekday, short", "Thu"),
    message_as("weekday, short", "Fri"),
    message_as("weekday, short", "Sat"),
    message_as("weekday, short", "Sun"),
)
WEEKDAYS = (
    message_as("weekday", "Monday"),
    message_as("weekday", "Tuesday"),
    message_as("weekday", "Wednesday"),
    message_as("weekday", "Thursday"),
    message_as("weekday", "Friday"),
    message_as("weekday", "Saturday"),
    message_as("weekday", "Sunday"),
)
SHORT_MONTHS = (
    message_as("month, short", "Jan"),
    message_as("month, short", "Feb"),
    message_as("month, short", "Mar"),
    message_as("month, short", "Apr"),
    message_as("month, short", "May"),
    message_as("month, short", "Jun"),
    message_as("month, short", "Jul"),
    message_as("month, short", "Aug"),
    message_as("month, short", "Sep"),
    message_as("month, short", "Oct"),
    message_as("month, short", "Nov"),
    message_as("month, short", "Dec"),
)
MONTHS_OF_DATES = (
    message_as("month, behind a day", "January"),
    message_as("month, behind a day", "February"),
    message_as("month, behind a day", "March"),
    message_as("month, behind a day", "April"),
    message_as("month, behind a day", "May"),
    message_as("month, behind a day", "June"),
    message_as("month, behind a day", "July"),
    message_as("month, behind a day", "August"),
    message_as("month, behind a day", "September"),
    message_as("month, behind a day", "October"),
    message_as("month, behind a day", "November"),
    message_as("month, behind a day", "December"),
)
MONTHS = (
    message_as("month", "January"),
    message_as("month", "February"),
    message_as("month", "March"),
    message_as("month", "April"),
    message_as("month", "May"),
    message_as("month", "June"),
    message_as("month", "July"),
    message_as("month", "August"),
    message_as("month", "September"),
    message_as("month", "October"),
    message_as("month", "November"),
    message_as("month", "December"),
)
FIRST_WEEKDAYS = {"Monday": 0, "Saturday": 5, "Sunday": 6}


def short_weekday(on: Date) -> str:
    """Tue."""
    return tell_as("weekday, short", SHORT_WEEKDAYS[on.weekday()])


def weekday(on: Date) -> str:
    """Tuesday."""
    return tell_as("weekday", WEEKDAYS[on.weekday()])


def short_month(on: Date) -> str:
    """Mar."""
    return tell_as("month, short", SHORT_MONTHS[on.month - 1])


def month_of_date(on: Date) -> str:
    """March, where the number of a day stands beside it: some languages bend it there."""
    return tell_as("month, behind a day", MONTHS_OF_DATES[on.month - 1])


def month(on: Date) -> str:
    """March, by itself or with its year."""
    return tell_as("month", MONTHS[on.month - 1])


def first_weekday() -> int:
    """The day a week begins with, as `date.weekday` counts: 0 is Monday.

    >>> first_weekday()
    0
    """
    said = tell_as("the day a week begins with: Monday, Saturday or Sunday, in English", "Monday")
    return FIRST_WEEKDAYS.get(said, 0)


def week_begins(on: Date) -> Date:
    """The first day of the week a day is in.

    >>> week_begins(Date(2026, 3, 5))
    datetime.date(2026, 3, 2)
    """
    return on - datetime.timedelta(days=(on.weekday() - first_weekday()) % 7)
