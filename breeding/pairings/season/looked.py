"""On which days somebody looked at a female: whatever was written of her, and her tank's ticks."""

import datetime
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable

from breeding.animals.models import Measurement
from breeding.housing.looks import days_looked_at
from breeding.program.frame.memory import remembered_while_reading

Date = datetime.date
Days = dict[int, set[Date]]
Source = Callable[[Collection[int]], Iterable[tuple[int, Date]]]

_sources: list[Source] = []


def add_source(source: Source) -> None:
    """Rooms above add what was written of females: (female's key, day), for these keys."""
    if source not in _sources:
        _sources.append(source)


def looked_days(females: Collection[int]) -> Days:
    """For each of these females the days, by what is on record beside sightings and scans.

    The number of queries does not grow with them.
    """
    held = remembered_while_reading("season_looked", lambda: _read(females))
    missing = set(females) - held.keys()
    return {**held, **_read(missing)} if missing else held


def _read(females: Collection[int]) -> Days:
    found: Days = defaultdict(set, {female: set() for female in females})
    if not females:
        return found
    for source in (_measured, *_sources):
        for female, on in source(females):
            found[female].add(on)
    for female, days in days_looked_at(females).items():
        found[female] |= days
    return dict(found)


def _measured(females: Collection[int]) -> Iterable[tuple[int, Date]]:
    rows = Measurement.objects.filter(animal__in=females, on__isnull=False)
    return ((female, on) for female, on in rows.values_list("animal", "on") if on)
