"""Clock times as they are written: by 24 hours, or by 12 with am and pm."""

import datetime
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from breeding.words.language import says, tell_as

HOURS = ("24", "12")
_chosen: ContextVar[str] = ContextVar("hours of the clock", default="")


@contextmanager
def clock_of(hours: str) -> Iterator[None]:
    """Within it clock times go by so many hours; by those of the language where it is empty."""
    before = _chosen.set(hours if hours in HOURS else "")
    try:
        yield
    finally:
        _chosen.reset(before)


def hours_of_clock() -> str:
    """24 or 12, as whoever reads chose it, else as the language has it."""
    return _chosen.get() or tell_as("how many hours a clock has, 24 or 12", "24")


@says
def clock_time(at: datetime.datetime | datetime.time) -> str:
    """The time of day as it stands in `at`.

    >>> afternoon, night = datetime.time(14, 5), datetime.time(0, 30)
    >>> clock_time(afternoon)
    '14:05'
    >>> with clock_of("12"):
    ...     clock_time(afternoon), clock_time(night)
    ('2:05 pm', '12:30 am')
    """
    minute = f"{at.minute:02}"
    if hours_of_clock() != "12":
        return tell_as("a time", "{hour}:{minute}", hour=f"{at.hour:02}", minute=minute)
    hour = at.hour % 12 or 12
    if at.hour < 12:
        return tell_as("a time before noon", "{hour}:{minute} am", hour=hour, minute=minute)
    return tell_as("a time after noon", "{hour}:{minute} pm", hour=hour, minute=minute)
