"""The seasons of those who may be late in pregnancy, for an act: of who cannot be, none is read."""

import datetime
from collections.abc import Collection, Iterable

from breeding.animals.models import Animal
from breeding.housing.models import Stay
from breeding.pairings.season.facts import Ask
from breeding.pairings.season.past.lessons import gather_with_lessons
from breeding.pairings.season.reading import SeasonReading, earliest_window_of, reckoned
from breeding.pairings.season.renewed import MOVED, RENEWED, moved_before, question_of
from breeding.program.models import Program
from breeding.program.unchanged.come import Written
from breeding.program.unchanged.each import held_of_each

Date = datetime.date
LATE_DAYS = 30  # before her window: about the last quarter of a gestation; assumption


def may_be_late(earliest_window: Date, on: Date) -> bool:
    """Whether one whose window does not open before a day can be late in pregnancy."""
    return on + datetime.timedelta(days=LATE_DAYS) >= earliest_window


def seasons_if_late(
    program: Program, females: Iterable[Animal], on: Date
) -> dict[int, SeasonReading]:
    """The seasons as of a day of all but those who were first mated too lately to be late then.

    Moves of that day, also those that are just being written, change no more of that than whether
    she was first mated that day: so a season that was kept before them tells it. It is not right
    in all it says any more, and is read anew where she may be late; of that how she eats is left.
    """
    hers = {one.pk: one for one in females}
    moved: list[Written] = []

    def moved_since(written: Written) -> Collection[int] | None:
        moved.append(written)
        return moved_before(on, written)

    kept = held_of_each(question_of(on), hers, {**RENEWED, **MOVED, Stay: moved_since})
    late = [key for key in hers if key not in kept or _may_be(kept[key], on)]
    right = {} if moved else {key: kept[key] for key in late if key in kept}
    asks = [Ask(hers[key], on, eats=False) for key in late if key not in right]
    return right | _read(program, asks)


def _may_be(season: SeasonReading, on: Date) -> bool:
    earliest = min(season.earliest_window, earliest_window_of(season.profile, on))
    return may_be_late(earliest, on)


def _read(program: Program, asks: list[Ask]) -> dict[int, SeasonReading]:
    if not asks:
        return {}
    facts, closed = gather_with_lessons(asks)
    return {one.female.pk: one for one in reckoned(program, facts, asks, closed)}
