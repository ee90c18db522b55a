"""Whom it is about where animals were written: those of whom only where they stand is another."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Mapping
from typing import Any

from breeding.animals.models import Animal
from breeding.program.frame.memory import remembered_while_reading
from breeding.program.unchanged.come import Written

Stood = tuple[str, datetime.date | None]  # its state, and since when
Moved = Mapping[int, Collection[Stood]]
_OF_STANDING = ("state", "state_on")
_FIELDS = {one.name: one.attname for one in Animal._meta.concrete_fields}
_OF_ITSELF = tuple(_FIELDS[name] for name in Animal.told_when_changed if name not in _OF_STANDING)


def standing_elsewhere(written: Written) -> Moved | None:
    """Those that are here, gone or on loan otherwise than they were, each with all of where it
    stood and stands. None where more of an animal may be another, or one came or was removed.

    Asked once a request that only reads, though much is kept by it.
    """
    name = f"animals standing elsewhere:{written.since}"
    return remembered_while_reading(name, lambda: (_standing_elsewhere(written),))[0]


def _standing_elsewhere(written: Written) -> Moved | None:
    if written.added(Animal.every.all()).exists():
        return None
    names = ("id", *_OF_STANDING, *_OF_ITSELF)
    now = written.are(Animal.every.all(), *names)
    versions: dict[int, set[tuple[Any, ...]]] = defaultdict(set)
    for key, *version in (*now, *(tuple(one[name] for name in names) for one in written.before)):
        versions[key].add(tuple(version))
    told = len(_OF_STANDING)
    # One that is as it was may have been put back with its key, which tells the same twice.
    if len(now) < len(versions) or any(
        len(each) == 1 or len({one[told:] for one in each}) > 1 for each in versions.values()
    ):
        return None
    return {key: [one[:told] for one in each] for key, each in versions.items()}


def animals_written(written: Written) -> set[int]:
    """Whatever was written of them: those that were added, changed or removed."""
    return {key for (key,) in written.told(Animal.every.all(), "id")}
