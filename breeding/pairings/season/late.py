"""Who may be late in pregnancy: told by seasons that are kept, without reading them anew."""

import datetime
from collections.abc import Iterable

from breeding.animals.models import Animal
from breeding.pairings.season.reading import SeasonReading, earliest_window_of
from breeding.pairings.season.renewed import RENEWED, moved_before, question_of
from breeding.program.unchanged.each import held_of_each

Date = datetime.date
LATE_DAYS = 30  # before her window: about the last quarter of a gestation; assumption


def may_be_late(earliest_window: Date, on: Date) -> bool:
    """Whether one whose window does not open before a day can be late in pregnancy."""
    return on + datetime.timedelta(days=LATE_DAYS) >= earliest_window


def who_may_be_late(females: Iterable[Animal], on: Date) -> list[Animal]:
    """All but those who cannot be: they were first mated too lately, by what was known of them
    before that day, or on that day.

    Moves of that day, also those that are just being written, change no more of her first mating:
    so a season that is kept tells it although they bring her together with others.
    """
    hers = {one.pk: one for one in females}
    kept = held_of_each(question_of(on), hers, {**RENEWED, **moved_before(on)})
    return [one for key, one in hers.items() if key not in kept or _may_be(kept[key], on)]


def _may_be(season: SeasonReading, on: Date) -> bool:
    earliest = min(season.earliest_window, earliest_window_of(season.profile, on))
    return may_be_late(earliest, on)
