"""What speaks against the company in the tanks as they are, whatever way it began."""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Sequence, Set
from dataclasses import dataclass
from itertools import combinations

from django.db.models import Model

from breeding.animals.models import Animal
from breeding.housing.models import Stay
from breeding.housing.stays.lately import beside_after, in_tanks_after
from breeding.housing.stays.shared_water import share_water
from breeding.pairings.company.concerns import Company, Concern, concerns_of
from breeding.pairings.company.known import FEMALE, MALE, Bearing, known_of
from breeding.program.frame.memory import only_reads
from breeding.program.models import Program
from breeding.program.queries import the_program


@dataclass(frozen=True)
class Standing:
    """A concern of today's company: where, since when, and why it was begun all the same."""

    concern: Concern
    stay: Stay  # of the one that must leave
    since: datetime.date
    reason: str


def standing(
    program: Program,
    *,
    asof: datetime.date,
    bearing: Bearing | None = None,
    about: Iterable[Animal] | None = None,
) -> list[Standing]:
    """Every concern in the tanks at the end of a day; a handful of queries, whatever their number.

    An animal on loan is with nobody as far as is known. `bearing`: of the females, where it is
    read already. `about`: only what concerns one of these.
    """
    wanted = None if about is None else {one.pk for one in about}
    by_tank = _shared(asof, wanted)
    animals = {stay.animal_id: stay.animal for stays in by_tank.values() for stay in stays}
    if not animals:
        return []
    known = known_of(
        animals.values(),
        program,
        on=asof,
        bearing=bearing,
        seasons_of=None if wanted is None else _beside_males(by_tank.values(), wanted),
    )
    found = []
    for stays in by_tank.values():
        where = {stay.animal_id: stay for stay in stays}
        pairs = [
            (one.animal, other.animal)
            for one, other in combinations(stays, 2)
            if share_water(one, other)
        ]
        for concern in concerns_of(Company(pairs, stays[0].tank), known):
            found.append(_standing(concern, where))
    return [
        one
        for one in found
        if wanted is None or any(animal.pk in wanted for animal in one.concern.animals)
    ]


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


def _shared(asof: datetime.date, wanted: Set[int] | None) -> dict[int, list[Stay]]:
    """The stays in each tank that holds more than one animal: at most one query."""
    all_at_hand = wanted is None or only_reads()
    every = in_tanks_after(asof) if all_at_hand else beside_after(asof, wanted or ())
    tanks = {one.tank_id for one in every if wanted is None or one.animal_id in wanted}
    by_tank: dict[int, list[Stay]] = defaultdict(list)
    for stay in sorted(every, key=_by_name):
        if stay.tank_id in tanks and stay.animal.state != Animal.State.ON_LOAN:
            by_tank[stay.tank_id].append(stay)
    return {tank: inside for tank, inside in by_tank.items() if len(inside) > 1}


def _by_name(stay: Stay) -> tuple[str, str, str]:
    return stay.tank.name, stay.animal.call_name, stay.animal.code


def _standing(concern: Concern, where: dict[int, Stay]) -> Standing:
    stay = where[concern.leaves.pk]
    others = [where[one.pk] for one in concern.animals if one != concern.leaves]
    began = max(stay.since, min(one.since for one in others))
    reasons = {one.reason: None for one in (stay, *others) if one.reason}
    return Standing(concern, stay, max(began, concern.on), "; ".join(reasons))


def said_of_put_back(rows: Sequence[Model], on: datetime.date) -> str:
    """What speaks against the company of those whose stays or states an undoing put back."""
    animals = {row.animal_id: row.animal for row in rows if isinstance(row, Stay)}
    animals |= {row.pk: row for row in rows if isinstance(row, Animal)}
    if not animals:
        return ""
    found = standing(the_program(), asof=on, about=animals.values())
    return " ".join(sentence for one in found for sentence in one.concern.sentences)
