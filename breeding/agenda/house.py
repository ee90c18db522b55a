"""What the day asks for, as marks in the tanks of those it is about."""

import datetime
from collections.abc import Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.lines.line import Line
from breeding.agenda.lines.once import written_once
from breeding.agenda.queries import at_tanks
from breeding.housing.house.marks import WEEK, Level, Mark
from breeding.housing.stays.lately import where_everybody_is
from breeding.program import clock
from breeding.program.frame.requests import PageRequest


def marks_of_the_day(request: PageRequest) -> Iterator[tuple[int, Mark]]:
    """The lines that stand and that this person may read, each in its animal's tank."""
    today = clock.today()
    gathered = Gathered(request.program, today)
    lines, where = at_tanks(gathered, request.user), where_everybody_is(today)
    marked = written_once("marks", gathered, lines, lambda line: [(line, _mark(line, today))])
    for line, mark in marked:
        if _is_of_tank(line) and line.page_of:
            yield line.page_of, mark
        elif line.animal and (place := where.get(line.animal.pk)):
            yield place.pk, mark


def _is_of_tank(line: Line) -> bool:
    return line.kind.page == "housing:detail"


def _mark(line: Line, today: datetime.date) -> Mark:
    return Mark(
        _level(line, (line.on - today).days),
        who="" if _is_of_tank(line) else line.who,
        words=line.what,
        on=line.on if line.on > today else None,
    )


def _level(line: Line, days: int) -> Level:
    if line.urgency == "now":
        return "now"
    return "week" if line.urgency == "soon" and days <= WEEK.days else "time"
