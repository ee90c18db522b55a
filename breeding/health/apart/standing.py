"""Who is in quarantine, by the water they share; with whom one ends it together."""

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from breeding.animals.models import Animal
from breeding.health.quarantine import Quarantined, all_quarantined, quarantined, water_of
from breeding.housing.models import Stay, Tank
from breeding.housing.queries import stays_over

Date = datetime.date


@dataclass(frozen=True)
class InOneWater:
    """Those in quarantine in one water, or in no tank; `tanks` by name."""

    tanks: Sequence[Tank]
    those: Sequence[Quarantined]

    @property
    def until(self) -> Date:
        """When the days of all of them are over."""
        return max(one.until for one in self.those)


def by_water(found: Iterable[Quarantined]) -> list[InOneWater]:
    """Those whose days are over first, first."""
    groups: dict[str, list[Quarantined]] = {}
    for one in found:
        water = water_of(one.tank) if one.tank and one.left_on is None else f"alone {one.animal.pk}"
        groups.setdefault(water, []).append(one)
    grouped = []
    for those in groups.values():
        tanks = {one.tank.pk: one.tank for one in those if one.tank and one.left_on is None}
        grouped.append(
            InOneWater(
                sorted(tanks.values(), key=lambda tank: tank.name),
                sorted(those, key=lambda one: (one.until, one.animal.name)),
            )
        )
    return sorted(grouped, key=lambda group: (group.until, group.those[0].animal.name))


def everybody_apart(on: Date) -> list[InOneWater]:
    """All who are in quarantine on a day; seven queries."""
    return by_water(all_quarantined(on).values())


def with_those_beside(animal: Animal, on: Date) -> list[Quarantined]:
    """Its quarantine, and that of those who share its water: it is ended for all of them."""
    found = quarantined([animal.pk], on)
    own = found.get(animal.pk)
    if own is None or own.tank is None or own.left_on is not None:
        return list(found.values())
    beside = quarantined(in_water(own.tank, on), on)
    return sorted(
        (one for one in beside.values() if one.left_on is None),
        key=lambda one: (one.animal.pk != animal.pk, one.animal.name),
    )


def in_water(tank: Tank, on: Date) -> list[int]:
    """The animals in a tank, or in one that shares its water, at the end of a day: one query."""
    stays = stays_over(on)
    if tank.system_id is not None:
        stays = stays.filter(tank__system=tank.system_id)
    else:
        stays = stays.filter(tank=tank)
    return list(stays.values_list("animal", flat=True))


def others_in_water(stay: Stay, on: Date) -> list[Animal]:
    """Who else was in that water at the end of a day, by name: two queries."""
    keys = [key for key in in_water(stay.tank, on) if key != stay.animal_id]
    return list(Animal.objects.filter(pk__in=keys).order_by("call_name", "code"))
