"""What is due in each tank, as marks: now, this week, in its time; rooms above add theirs."""

import datetime
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from breeding.housing.models import TankRhythm
from breeding.housing.water.watched import WatchedTank
from breeding.program.frame.requests import PageRequest

Level = Literal["now", "week", "time"]
LEVELS: tuple[Level, ...] = ("now", "week", "time")
WEEK = datetime.timedelta(days=7)


@dataclass(frozen=True)
class Mark:
    """One thing that is due in a tank; a source gives each with the key of its tank.

    what: "unfit" or a `TankRhythm.What`, which the page has words for; else `words` say it, and
    `who` of whom. on: the day of what is still to come.
    """

    level: Level
    words: str = ""
    who: str = ""
    what: str = ""
    on: datetime.date | None = None


Source = Callable[[PageRequest], Iterable[tuple[int, Mark]]]
_sources: dict[str, Source] = {}


def add_marks(name: str, source: Source) -> None:
    """Called once by a room above, in its AppConfig.ready: what it knows to be due in tanks."""
    _sources[name] = source


def marks_of(
    request: PageRequest, watched: Sequence[WatchedTank], today: datetime.date
) -> dict[int, list[Mark]]:
    """By tank, what presses most first; what several animals are told in the same words, once."""
    found: dict[int, dict[Mark, None]] = {}
    for tank, mark in _all(request, watched, today):
        found.setdefault(tank, {})[mark] = None
    return {
        tank: sorted(marks, key=lambda one: LEVELS.index(one.level))
        for tank, marks in found.items()
    }


def _all(
    request: PageRequest, watched: Sequence[WatchedTank], today: datetime.date
) -> Iterator[tuple[int, Mark]]:
    for source in _sources.values():
        yield from source(request)
    for one in watched:
        yield from ((one.tank.pk, mark) for mark in _of_water(one, today))


def _of_water(one: WatchedTank, today: datetime.date) -> Iterator[Mark]:
    """Water that is not fit, and tests, changes and filter care that are due by its rhythm."""
    if one.fit.fit is False:
        yield Mark("now", what="unfit")
    due = [(work.what, work.on) for work in one.work]
    if one.test_due_on is not None:
        due.append((TankRhythm.What.TEST, one.test_due_on))
    for what, on in due:
        level: Level = "week" if on <= today + WEEK else "time"
        if on <= today + 2 * WEEK:
            yield Mark(level, what=what, on=on if on > today else None)


def pressing(marks: Iterable[Mark]) -> Level | None:
    """How much the most pressing of these presses; None: nothing is due."""
    levels = [mark.level for mark in marks]
    return min(levels, key=LEVELS.index) if levels else None
