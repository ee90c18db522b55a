"""What the day asks for, as marks in the tanks of those it is about."""

from collections.abc import Iterator

from breeding.agenda.lines.line import Line
from breeding.agenda.queries import the_day
from breeding.housing.house.marks import WEEK, Level, Mark
from breeding.housing.stays.lately import in_tanks_now
from breeding.program import clock
from breeding.program.frame.requests import PageRequest

SAID_BY_THE_WATER = ("water",)  # groups of kinds that the tanks' own marks tell
ELSEWHERE = ("buyers", "records")  # done at the desk and not at a tank


def marks_of_the_day(request: PageRequest) -> Iterator[Mark]:
    """The lines that stand and that this person may read, each in its animal's tank.

    As many queries as the day.
    """
    today, person = clock.today(), request.user
    day = the_day(request.program, today=today, for_owner=person.is_owner, reader=person)
    lines = [line for line in day.lines if line.kind.group not in (*SAID_BY_THE_WATER, *ELSEWHERE)]
    where = {stay.animal_id: stay for stay in in_tanks_now(today)}
    for line in lines:
        is_of_tank = line.kind.page == "housing:detail"
        stay = where.get(line.animal.pk) if line.animal else None
        tank = line.page_of if is_of_tank else (stay.tank_id if stay else None)
        if tank is not None:
            level = _level(line, (line.on - today).days)
            on = line.on if line.on > today else None
            yield Mark(tank, level, who="" if is_of_tank else line.who, words=line.what, on=on)


def _level(line: Line, days: int) -> Level:
    if line.urgency == "now":
        return "now"
    return "week" if line.urgency == "soon" and days <= WEEK.days else "time"
