"""The day is reckoned before anybody opens it: after a start, and when a new day begins."""

import datetime

from breeding.agenda.queries import the_day
from breeding.program import clock
from breeding.program.frame.memory import for_one_request
from breeding.program.models import Program
from breeding.program.queries import the_program

_reckoned: dict[str, datetime.date] = {}  # the day that this process has reckoned last


def reckon_a_new_day(now: datetime.datetime) -> None:
    """Called every minute; whatever pages keep stands then for the first that is opened."""
    program, today = the_program(), clock.today()
    if program._state.adding or _reckoned.get("day") == today:
        return
    reckon(program, today)
    _reckoned["day"] = today


def reckon(program: Program, today: datetime.date) -> None:
    """As a visit of the front page does, which writes nothing."""
    with for_one_request(only_reads=True):
        the_day(program, today=today, for_owner=True)
