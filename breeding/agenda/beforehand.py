"""The day is reckoned before anybody opens it: after a start, when a new day begins, and within a
minute of whatever was written.

Pages say it in the language and by the clock of who reads them: it is reckoned for each way in
which somebody of the program reads, and was read since the start.
"""

import datetime
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from threading import Lock
from typing import Any

from django.db import connection
from django.utils import timezone
from django.utils.translation import get_language, override

from breeding.agenda.queries import the_day
from breeding.program.frame.memory import for_one_request
from breeding.program.language.chosen import as_read_by
from breeding.program.models import Person, Program
from breeding.program.queries import the_program
from breeding.program.unchanged.marks import COME, standing_now
from breeding.words.clock import clock_of, hours_of_clock

Way = tuple[str | None, str]  # a language, and 24 or 12 hours
Moment = tuple[datetime.date, Mapping[str, Any]]  # a day, and the marks of what was written by then

MOST_SECONDS = 30.0  # that a visitor waits for who reckons the same; then both reckon
_reckoned: dict[Way, Moment | None] = {}  # what this process has reckoned last
_reckoning = Lock()


def way_of_now() -> Way:
    """In which it is read just now."""
    return get_language(), hours_of_clock()


def note_way() -> None:
    """A page of the day is read in this way: so it may be tomorrow."""
    _reckoned.setdefault(way_of_now(), None)


@contextmanager
def in_turn() -> Iterator[None]:
    """Whoever asks for the day while somebody else reckons it waits, and finds what is kept."""
    is_mine = _reckoning.acquire(timeout=MOST_SECONDS)
    try:
        yield
    finally:
        if is_mine:
            _reckoning.release()


def keep_the_day_ready(now: datetime.datetime) -> None:
    """Called every minute; whatever pages keep stands then for the first that is opened."""
    program, today = the_program(), timezone.localdate(now)
    if program._state.adding:
        return
    for reader in Person.objects.filter(is_active=True).only("language", "clock"):
        with as_read_by(reader, program):
            note_way()
    moment = today, _marks()
    for way, reckoned in list(_reckoned.items()):
        if reckoned == moment:
            continue
        language, hours = way
        with override(language), clock_of(hours), in_turn():
            reckon(program, today)
        _reckoned[way] = moment


def reckon(program: Program, today: datetime.date) -> None:
    """As a visit of the front page does, which writes nothing."""
    with for_one_request(only_reads=True):
        the_day(program, today=today, for_owner=True)


def _marks() -> dict[str, Any]:
    """Of every table; how far the daily ones have come is told by these, too."""
    now = standing_now(connection)
    return {name: mark for name, mark in now.items() if not name.endswith(COME)}
