"""The lines of space: tanks that are too small for those in them, and those that soon will be."""

import datetime
from collections.abc import Collection, Iterator, Sequence

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Line, and_more, write_line
from breeding.animals.models import Animal
from breeding.housing.room.reading import Room, rooms_of
from breeding.housing.room.said import answer_of
from breeding.words.language import tell
from breeding.words.numbers import some

AHEAD_DAYS = 120
_NAMED = 6


def space_lines(gathered: Gathered) -> Iterator[Line]:
    """One line for all tanks that are too small as measured, and one for each that will be.

    The mark holds how many are in it and who is the newest on record: an answer holds until
    somebody else is put there.
    """
    company = {one.tank: one.animals for one in gathered.tanks}
    rooms = rooms_of(company, asof=gathered.today, days=AHEAD_DAYS)
    small = [room for room in rooms.values() if room.is_too_small]
    if small:
        inside = [one for room in small for one in company[room.tank]]
        yield _small_line(gathered, sorted(small, key=_by_lack), inside)
    for room in rooms.values():
        if not room.is_too_small and room.middle is not None:
            yield _ahead_line(gathered, room, room.middle, company[room.tank])


def _by_lack(room: Room) -> tuple[float, str]:
    """The one that lacks most of its floor first."""
    floor, wanted = room.floor, room.wanted
    if floor is None or wanted is None:
        return 0.0, room.tank.name
    return -float(wanted.floor[0]) / floor.area, room.tank.name


def _small_line(gathered: Gathered, small: Sequence[Room], inside: Collection[Animal]) -> Line:
    worst = small[0]
    said = [answer_of(worst, unit=gathered.program.length_unit)]
    if small[1:]:
        tanks = some([str(room.tank) for room in small], _NAMED)
        said.append(tell("In all: {tanks}.", tanks=tanks))
    return write_line(
        KINDS["space_now"],
        mark=f"{len(small)}:{_who(inside)}",
        series_mark="all",
        on=gathered.today,
        today=gathered.today,
        who=and_more(str(worst.tank), len(small) - 1),
        why=" ".join(said),
        animal=worst.counted[0].animal,
        page_of=worst.tank.pk,
        facts={"tank_id": worst.tank.pk, "place": str(worst.tank)},
    )


def _ahead_line(
    gathered: Gathered, room: Room, on: datetime.date, inside: Collection[Animal]
) -> Line:
    return write_line(
        KINDS["space"],
        mark=f"{room.tank.pk}:{_who(inside)}",
        series_mark=f"{room.tank.pk}",
        on=on,
        today=gathered.today,
        who=str(room.tank),
        why=answer_of(room, unit=gathered.program.length_unit),
        animal=room.counted[0].animal,
        page_of=room.tank.pk,
        facts={"tank_id": room.tank.pk, "place": str(room.tank)},
    )


def _who(inside: Collection[Animal]) -> str:
    return f"{len(inside)}:{max(one.pk for one in inside)}"
