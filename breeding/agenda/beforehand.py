"""The day is reckoned before anybody opens it: after a start, and when a new day begins.

Pages say it in the language and by the clock of who reads them: it is reckoned for each way in
which somebody of the program reads, and was read since the start.
"""

import datetime

from django.utils.translation import get_language, override

from breeding.agenda.queries import the_day
from breeding.program import clock
from breeding.program.frame.memory import for_one_request
from breeding.program.language.chosen import as_read_by
from breeding.program.models import Person, Program
from breeding.program.queries import the_program
from breeding.words.clock import clock_of, hours_of_clock

Way = tuple[str | None, str]  # a language, and 24 or 12 hours
_reckoned: dict[Way, datetime.date | None] = {}  # the day this process has reckoned last


def way_of_now() -> Way:
    """In which it is read just now."""
    return get_language(), hours_of_clock()


def note_way() -> None:
    """A page of the day is read in this way: so it may be tomorrow."""
    _reckoned.setdefault(way_of_now(), None)


def reckon_a_new_day(now: datetime.datetime) -> None:
    """Called every minute; whatever pages keep stands then for the first that is opened."""
    program, today = the_program(), clock.today()
    if program._state.adding:
        return
    for reader in Person.objects.filter(is_active=True).only("language", "clock"):
        with as_read_by(reader, program):
            note_way()
    for way, reckoned_on in list(_reckoned.items()):
        if reckoned_on == today:
            continue
        language, hours = way
        with override(language), clock_of(hours):
            reckon(program, today)
        _reckoned[way] = today


def reckon(program: Program, today: datetime.date) -> None:
    """As a visit of the front page does, which writes nothing."""
    with for_one_request(only_reads=True):
        the_day(program, today=today, for_owner=True)
