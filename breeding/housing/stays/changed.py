"""Whom it is about where stays were written: who is in the same tanks from the first day on that is
another by now.
"""

import datetime
from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from typing import NamedTuple

from django.db.models import Q

from breeding.housing.models import Stay
from breeding.program.unchanged.come import Written

Date = datetime.date
_TOLD = ("id", "animal_id", "tank_id", "side", "since", "until")


class CountingStay(NamedTuple):
    """A stay that counts."""

    key: int
    animal: int
    tank: int
    side: str
    since: Date
    until: Date | None


@dataclass(frozen=True)
class Difference:
    """Whose stays are others, who is beside them on such a day, and the first of these days."""

    animals: frozenset[int]
    beside: frozenset[int]
    first: Date


def difference(written: Written) -> Difference | None:
    """By the stays that were written. None where no stay that counts is another. One query for
    those who are beside."""
    are = {CountingStay(*row) for row in written.are(Stay.objects.all(), *_TOLD)}
    counted = (one for one in written.before if one["withdrawn_at"] is None)
    were = {CountingStay(*(one[name] for name in _TOLD)) for one in counted}
    versions: dict[int, set[CountingStay]] = defaultdict(set)
    for stay in were ^ are:
        versions[stay.key].add(stay)
    if not versions:
        return None
    first_in: dict[int, Date] = {}
    for each in versions.values():
        first = _first(each)
        for stay in each:
            first_in[stay.tank] = min(first, first_in.get(stay.tank, first))
    first_of_all = min(first_in.values())
    near = Stay.objects.filter(Q(until=None) | Q(until__gte=first_of_all), tank__in=first_in)
    beside = (
        animal
        for animal, tank, until in near.order_by().values_list("animal", "tank", "until")
        if until is None or until >= first_in[tank]
    )
    animals = frozenset(stay.animal for each in versions.values() for stay in each)
    return Difference(animals, frozenset(beside), first_of_all)


def ever_beside(animals: Collection[int]) -> set[int]:
    """Whoever was in a tank with one of these at any time: two queries."""
    spent = ("tank", "since", "until")
    theirs: dict[int, list[tuple[Date, Date]]] = defaultdict(list)
    for tank, since, until in Stay.objects.filter(animal__in=animals).values_list(*spent):
        theirs[tank].append((since, until or Date.max))
    first = min((since for each in theirs.values() for since, _ in each), default=Date.max)
    near = Stay.objects.filter(Q(until=None) | Q(until__gte=first), tank__in=theirs)
    return {
        animal
        for animal, tank, since, until in near.order_by().values_list("animal", *spent)
        if any(since <= last and begun <= (until or Date.max) for begun, last in theirs[tank])
    }


def _first(versions: set[CountingStay]) -> Date:
    """The first day on which one of them was where another was not."""
    places = {(one.animal, one.tank, one.side, one.since) for one in versions}
    if len(versions) > 1 and len(places) == 1:  # another end
        return min(one.until for one in versions if one.until is not None)
    return min(one.since for one in versions)
