"""What is asked at the doors of the rooms below: before a move."""

import datetime
from collections.abc import Collection, Iterable, Iterator

from breeding.animals.models import Animal
from breeding.health.holds import (
    doubts_of_held,
    doubts_of_holds,
    treatments_holding,
)
from breeding.health.in_turn import TreatmentsInTurn
from breeding.health.models import Treatment
from breeding.health.quarantine import water_of
from breeding.housing.models import Tank
from breeding.housing.stays.everywhere import Everywhere
from breeding.housing.stays.following import Leaving
from breeding.program.problems.doubts import Doubt
from breeding.words.days import long_day
from breeding.words.language import tell
from breeding.words.numbers import some

MOST_NAMED = 6


def doubts_of_move(leaving: Leaving) -> Iterator[Doubt]:
    """Of those that are held where they are, with a reason; and of water that is being treated."""
    yield from doubts_of_held(moved_of(leaving), "move", leaving.on, field="tank")
    if leaving.tank is not None and (coming := coming_of(leaving)):
        rows = Treatment.objects.filter(treatments_holding(leaving.on), tank__isnull=False)
        there = rows.select_related("tank")
        yield from _doubts_of_water(coming, leaving.tank, leaving.on, there)


def moved_of(leaving: Leaving) -> list[Animal]:
    """Those that were in another tank."""
    return [
        one
        for one in leaving.animals
        if (before := leaving.before.get(one.pk)) is not None and before != leaving.tank
    ]


def coming_of(leaving: Leaving) -> list[Animal]:
    """Those that come into other water."""
    to = leaving.tank
    return [
        one
        for one in leaving.animals
        if to is not None and not _is_one_water(leaving.before.get(one.pk), to)
    ]


class MovesInTurn:
    """The same of one move after the other, by the stays in hand. animals: who may be moved."""

    def __init__(self, animals: Collection[int], where: Everywhere) -> None:
        self._treatments = TreatmentsInTurn(animals, where)
        by_water = self._treatments.by_water
        self._there = {water: _newest_first(rows) for water, rows in by_water.items()}

    def __call__(self, leaving: Leaving) -> list[Doubt]:
        found: list[Doubt] = []
        for one in moved_of(leaving):
            holds = self._treatments.of(one.pk, leaving.on)
            found += doubts_of_holds(one, holds, "move", field="tank")
        if leaving.tank is not None and (coming := coming_of(leaving)):
            there = self._there.get(water_of(leaving.tank), ())
            found += _doubts_of_water(coming, leaving.tank, leaving.on, there)
        return found


def _newest_first(rows: Iterable[Treatment]) -> list[Treatment]:
    return sorted(rows, key=lambda one: (one.since, one.pk), reverse=True)


def treatments_in_water(tank: Tank, on: datetime.date) -> list[Treatment]:
    """What is in the water of a tank on a day, its own or of one that shares it: one query."""
    rows = Treatment.objects.filter(treatments_holding(on), tank__isnull=False)
    return _in_water(rows.select_related("tank"), tank, on)


def _in_water(rows: Iterable[Treatment], tank: Tank, on: datetime.date) -> list[Treatment]:
    found = [one for one in rows if one.goes_on(on)]
    return [one for one in found if _is_one_water(one.tank, tank)]


def _is_one_water(one: Tank | None, other: Tank) -> bool:
    if one is None:
        return False
    return one.pk == other.pk or (one.system_id is not None and one.system_id == other.system_id)


def _doubts_of_water(
    coming: list[Animal], to: Tank, on: datetime.date, treatments: Iterable[Treatment]
) -> Iterator[Doubt]:
    names = some([one.name for one in coming], MOST_NAMED)
    for one in _in_water(treatments, to, on):
        said = {
            "tank": to,
            "remedy": one.remedy,
            "day": long_day(one.since),
            "animals": names,
        }
        if one.tank_id == to.pk:
            words = tell(
                "{tank}: its water has been treated with {remedy} since {day}. {animals} would be "
                "treated with it, and held as long.",
                **said,
            )
        else:
            words = tell(
                "{tank}: its water, that of {other}, has been treated with {remedy} since {day}. "
                "{animals} would be treated with it, and held as long.",
                other=one.tank,
                **said,
            )
        yield Doubt(words, "tank")
