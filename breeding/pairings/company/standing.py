"""What speaks against the company in the tanks as they are, whatever way it began."""

import datetime
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Sequence, Set
from dataclasses import dataclass
from itertools import combinations
from operator import attrgetter
from typing import Any

from django.db.models import Model, prefetch_related_objects

from breeding.animals.models import Animal, Photograph
from breeding.housing.models import Stay, Tank
from breeding.housing.stays.lately import beside_after, in_tanks_after
from breeding.housing.stays.shared_water import share_water
from breeding.pairings.company.concerns import Company, Concern, concerns_of
from breeding.pairings.company.known import (
    FEMALE,
    MALE,
    Bearing,
    Known,
    known_of,
    known_with,
    lately_of,
)
from breeding.program.frame.memory import only_reads
from breeding.program.models import Program
from breeding.program.queries import the_program
from breeding.program.unchanged.each import kept_of_each
from breeding.program.unchanged.marks import rests_on

Date = datetime.date


def _fields_of(model: type[Model]) -> Callable[[Model], tuple[Any, ...]]:
    """What stands in a row of it."""
    return attrgetter(*(one.attname for one in model._meta.concrete_fields))


OF_STAY, OF_TANK, OF_ANIMAL, OF_PORTRAIT = map(_fields_of, (Stay, Tank, Animal, Photograph))


@dataclass(frozen=True)
class Standing:
    """A concern of today's company: where, since when, and why it was begun all the same."""

    concern: Concern
    stay: Stay  # of the one that must leave
    since: Date
    reason: str


def standing(program: Program, *, asof: Date, about: Iterable[Animal]) -> list[Standing]:
    """Every concern about one of these in the tanks at the end of a day; a handful of queries.

    An animal on loan is with nobody as far as is known.
    """
    wanted = {one.pk for one in about}
    beside = in_tanks_after(asof) if only_reads() else beside_after(asof, wanted)
    where = {one.tank_id for one in beside if one.animal_id in wanted}
    tanks = _with_company(one for one in beside if one.tank_id in where)
    if not tanks:
        return []
    animals = _animals_in(tanks.values())
    seasons_of = _beside_males(tanks.values(), wanted)
    known = known_of(animals.values(), program, on=asof, seasons_of=seasons_of)
    return [
        one
        for stays in tanks.values()
        for one in _judged(stays, known)
        if any(animal.pk in wanted for animal in one.concern.animals)
    ]


def all_standing(program: Program, *, asof: Date, bearing: Bearing) -> list[Standing]:
    """Every concern in the tanks at the end of a day; a handful of queries, whatever their number.

    Those in a tank are kept, the very same objects, while nothing is said otherwise of who is in
    it. bearing: of the females.
    """
    tanks = _with_company(in_tanks_after(asof))
    if not tanks:
        return []
    animals = _animals_in(tanks.values())
    lately = lately_of(animals, program, on=asof, bearing=bearing)

    def make(keys: Collection[int]) -> dict[int, list[Standing]]:
        rests_on(Program)
        those = _animals_in(tanks[key] for key in keys)
        known = known_with(those, program, lately, on=asof)
        return {key: _judged(tanks[key], known) for key in keys}

    said = lately.by_animal()
    beside = {
        key: (OF_TANK(stays[0].tank), [(*_row(one), said.get(one.animal_id)) for one in stays])
        for key, stays in tanks.items()
    }
    found = kept_of_each(("company", asof), tanks, make, {}, beside=beside)
    return [one for tank in tanks for one in found[tank]]


def _judged(stays: Sequence[Stay], known: Known) -> list[Standing]:
    """What speaks against those in a tank."""
    where = {stay.animal_id: stay for stay in stays}
    pairs = [
        (one.animal, other.animal)
        for one, other in combinations(sorted(stays, key=_by_name), 2)
        if share_water(one, other)
    ]
    concerns = concerns_of(Company(pairs, stays[0].tank), known)
    return [_standing(concern, where) for concern in concerns]


def _animals_in(tanks: Iterable[Sequence[Stay]]) -> dict[int, Animal]:
    return {stay.animal_id: stay.animal for stays in tanks for stay in stays}


def _row(stay: Stay) -> tuple[Any, ...]:
    """All that is written of a stay, its animal and the portrait of that."""
    animal = stay.animal
    portrait = OF_PORTRAIT(animal.portrait) if animal.portrait else None
    return OF_STAY(stay), OF_ANIMAL(animal), portrait


def _beside_males(tanks: Iterable[Sequence[Stay]], wanted: Set[int]) -> set[int]:
    """Whose seasons a concern about one of these can rest on: hers, with a male beside her, and
    of every female beside him.
    """
    found: set[int] = set()
    for stays in tanks:
        males = {one.animal_id for one in stays if one.animal.sex == MALE}
        females = {one.animal_id for one in stays if one.animal.sex == FEMALE}
        if males:
            found |= females if males & wanted else females & wanted
    return found


def _with_company(stays: Iterable[Stay]) -> dict[int, list[Stay]]:
    """The stays in each tank that holds more than one animal, by its name."""
    by_tank: dict[int, list[Stay]] = defaultdict(list)
    for stay in stays:
        if stay.animal.state != Animal.State.ON_LOAN:
            by_tank[stay.tank_id].append(stay)
    shared = [(tank, inside) for tank, inside in by_tank.items() if len(inside) > 1]
    return dict(sorted(shared, key=lambda one: one[1][0].tank.name))


def _by_name(stay: Stay) -> tuple[str, str]:
    return stay.animal.call_name, stay.animal.code


def _standing(concern: Concern, where: dict[int, Stay]) -> Standing:
    stay = where[concern.leaves.pk]
    others = [where[one.pk] for one in concern.animals if one != concern.leaves]
    began = max(stay.since, min(one.since for one in others))
    reasons = {one.reason: None for one in (stay, *others) if one.reason}
    return Standing(concern, stay, max(began, concern.on), "; ".join(reasons))


def said_of_put_back(rows: Sequence[Model], on: Date) -> str:
    """What speaks against the company of those whose stays or states an undoing put back."""
    stays = [row for row in rows if isinstance(row, Stay)]
    prefetch_related_objects(stays, "animal")  # one query for all
    animals = {stay.animal_id: stay.animal for stay in stays}
    animals |= {row.pk: row for row in rows if isinstance(row, Animal)}
    if not animals:
        return ""
    found = standing(the_program(), asof=on, about=animals.values())
    return " ".join(sentence for one in found for sentence in one.concern.sentences)
