"""Who died lately: those who shared the water are looked at, and it is asked how."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Q

from breeding.animals.around import died_lately
from breeding.animals.models import Animal
from breeding.health.models import Death
from breeding.health.quarantine import water_of
from breeding.housing.models import Look, Stay, Tank
from breeding.housing.queries import present_stays
from breeding.program.problems.doubts import threshold

Date = datetime.date


@dataclass(frozen=True)
class DiedBeside:
    """One that died in a water in which others are now; cause: as it is known, empty if not."""

    animal: Animal
    died_on: Date
    tank: Tank
    cause: str
    others: Sequence[Animal]


def _died_since(name: str, today: Date) -> list[Animal]:
    return died_lately(round(threshold(name)), today)


def died_untold(today: Date) -> list[Animal]:
    """Who died lately without a record of how, the latest first: two queries, or one."""
    dead = _died_since("how_it_died_days", today)
    told = Death.objects.filter(animal__in=[one.pk for one in dead]) if dead else ()
    keys = {one.animal_id for one in told}
    return [one for one in dead if one.pk not in keys]


def died_beside_others(today: Date) -> list[DiedBeside]:
    """Waters in which one died lately, others are now, and nobody has looked today.

    One for each water: the latest death. Five queries, none further while nobody died.
    """
    dead = {one.pk: one for one in _died_since("look_after_death_days", today)}
    if not dead:
        return []
    by_water = _latest_by_water(dead)
    tanks = {stay.tank_id: stay.tank for stay in by_water.values()}
    systems = {tank.system_id for tank in tanks.values() if tank.system_id is not None}
    beside: dict[str, list[Animal]] = {}
    there = present_stays().filter(Q(tank__in=tanks) | Q(tank__system__in=systems))
    for stay in there.select_related("tank", "animal__portrait").order_by("animal__call_name"):
        beside.setdefault(water_of(stay.tank), []).append(stay.animal)
    looked = set(Look.objects.filter(tank__in=tanks, on=today).values_list("tank", flat=True))
    causes = {one.animal_id: one for one in Death.objects.filter(animal__in=list(dead))}
    return [
        DiedBeside(
            animal=(animal := dead[stay.animal_id]),
            died_on=animal.state_on or today,
            tank=stay.tank,
            cause=causes[animal.pk].cause_words if animal.pk in causes else "",
            others=beside[water],
        )
        for water, stay in by_water.items()
        if water in beside and stay.tank_id not in looked
    ]


def _latest_by_water(dead: dict[int, Animal]) -> dict[str, Stay]:
    """The stay in which the last death of each water was."""
    found: dict[str, Stay] = {}
    stays = Stay.objects.filter(animal__in=list(dead)).select_related("tank")
    for stay in stays.order_by("since", "pk"):
        died_on = dead[stay.animal_id].state_on
        if died_on is None or stay.since > died_on or (stay.until and stay.until < died_on):
            continue
        water = water_of(stay.tank)
        before = found.get(water)
        if before is None or (dead[before.animal_id].state_on or Date.min) <= died_on:
            found[water] = stay
    return found
