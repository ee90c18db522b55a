"""The only place where the clock is asked; views and commands hand the day on as an argument."""

import datetime
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from django.utils import timezone

_typed_at: ContextVar[datetime.datetime | None] = ContextVar("typed_at", default=None)


def now() -> datetime.datetime:
    """This moment; of a form that had to wait for its way here, the moment it was sent off."""
    return _typed_at.get() or timezone.now()


def today() -> datetime.date:
    """The day it is in the program's time zone."""
    return timezone.localdate(now())


def arrived_at() -> datetime.datetime:
    """This moment, however long ago it was typed."""
    return timezone.now()


@contextmanager
def as_of(moment: datetime.datetime) -> Iterator[None]:
    """Inside, it is this earlier moment: “seen now” stays the now in which it was pressed."""
    before = _typed_at.set(moment)
    try:
        yield
    finally:
        _typed_at.reset(before)
