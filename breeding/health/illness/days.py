"""The days of what ails an animal and of what is given for it: which can be at all."""

import datetime

from django.core.exceptions import ValidationError

from breeding.animals.typed.fields import EARLIEST_YEAR
from breeding.words.days import long_day
from breeding.words.language import tell

Date = datetime.date
MOST_AHEAD_DAYS = 1096  # three years: nobody prescribes, or holds an animal, for longer


def check_past(field: str, on: Date, today: Date) -> None:
    """Raise ValidationError for a day to come, or before there were such records."""
    if on > today:
        raise ValidationError(
            {field: tell("{day} is still to come; today or before.", day=long_day(on))}
        )
    if on.year < EARLIEST_YEAR:
        raise ValidationError(
            {
                field: tell(
                    "{day} is too long ago; the earliest year is {year}.",
                    day=on,
                    year=EARLIEST_YEAR,
                )
            }
        )


def check_after(field: str, on: Date | None, first: Date, *, least: Date | None = None) -> None:
    """Raise ValidationError for a day before the first, or too far away to be meant.

    least: the earliest that is allowed, where that is later than the first.
    """
    if on is None:
        return
    earliest = least or first
    last = _ahead(first)
    if not earliest <= on <= last:
        raise ValidationError(
            {
                field: tell(
                    "{day} cannot be; allowed is from {first} to {last}.",
                    day=long_day(on),
                    first=long_day(earliest),
                    last=long_day(last),
                )
            }
        )


def _ahead(first: Date) -> Date:
    try:
        return first + datetime.timedelta(days=MOST_AHEAD_DAYS)
    except OverflowError:
        return Date.max
