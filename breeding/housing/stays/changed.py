"""Whom it is about where stays were written: who is in the same tanks from the first day on that is
another by now.
"""

import datetime
from collections import defaultdict
from dataclasses import dataclass
from typing import Any, NamedTuple

from django.db import connection

from breeding.housing.models import Stay
from breeding.program.frame.memory import remembered_while_reading
from breeding.program.unchanged.along import take_along
from breeding.program.unchanged.marks import rests_on

_NAME = "stays as they are"
take_along(_NAME, None)
Day = Any  # as the database gives it, a text or a date: all of one kind, in their order


class Bare(NamedTuple):
    """A stay that counts."""

    key: int
    animal: int
    tank: int
    side: str
    since: Day
    until: Day | None


Stays = frozenset[Bare]


@dataclass(frozen=True)
class Difference:
    """Whose stays are others, who is beside them on such a day, and the first of these days."""

    animals: frozenset[int]
    beside: frozenset[int]
    first: datetime.date


def all_stays() -> Stays:
    """As they are: one query, about 1 ms for 1,000; once in a request that only reads."""
    rests_on(Stay)
    return remembered_while_reading(_NAME, _read)


def _read() -> Stays:
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT id, animal_id, tank_id, side, since, until "  # noqa: S608
            f'FROM "{Stay._meta.db_table}" WHERE withdrawn_at IS NULL'
        )
        return frozenset(map(Bare._make, cursor.fetchall()))


def difference(before: Stays, now: Stays) -> Difference | None:
    """None where no stay that counts is another. Costs one look at each stay."""
    versions: dict[int, list[Bare]] = defaultdict(list)
    for stay in before ^ now:
        versions[stay.key].append(stay)
    if not versions:
        return None
    first_in: dict[int, Day] = {}
    for both in versions.values():
        first = _first(both)
        for stay in both:
            first_in[stay.tank] = min(first, first_in.get(stay.tank, first))
    beside = (
        stay.animal
        for stay in now
        if stay.tank in first_in and (stay.until is None or stay.until >= first_in[stay.tank])
    )
    animals = frozenset(stay.animal for both in versions.values() for stay in both)
    first_day = datetime.date.fromisoformat(str(min(first_in.values())))
    return Difference(animals, frozenset(beside), first_day)


def _first(versions: list[Bare]) -> Day:
    """The first day on which one of them was where the other was not."""
    places = {(one.animal, one.tank, one.side, one.since) for one in versions}
    if len(versions) == 2 and len(places) == 1:  # another end
        return min(one.until for one in versions if one.until is not None)
    return min(one.since for one in versions)
