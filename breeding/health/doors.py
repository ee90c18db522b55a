"""What is asked at the doors of the rooms below: before a move, and before an animal goes."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterator

from breeding.animals.models import Animal
from breeding.health.holds import doubts_of_held, holds_by_its_days, treatments_holding
from breeding.health.models import Treatment
from breeding.health.quarantine import water_of
from breeding.housing.models import Tank
from breeding.housing.stays.everywhere import Everywhere
from breeding.housing.stays.following import Leaving
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import read_of
from breeding.words.days import long_day
from breeding.words.language import tell
from breeding.words.numbers import some

MOST_NAMED = 6


def doubts_of_move(leaving: Leaving) -> Iterator[Doubt]:
    """Of those that are held where they are, with a reason; and of water that is being treated."""
    to = leaving.tank
    moved = [
        one
        for one in leaving.animals
        if (before := leaving.before.get(one.pk)) is not None and before != to
    ]
    yield from doubts_of_held(moved, "move", leaving.on, field="tank")
    coming = [
        one
        for one in leaving.animals
        if to is not None and not _is_one_water(leaving.before.get(one.pk), to)
    ]
    if to is not None and coming:
        yield from _doubts_of_water(coming, to, leaving.on)


class MovesInTurn:
    """The same of one move after the other, by the stays in hand; None where a treatment may
    matter, so that the records have to say it. animals: who may be moved.
    """

    def __init__(self, animals: Collection[int], where: Everywhere) -> None:
        self._where = where
        self._of_animal: dict[int, list[Treatment]] = defaultdict(list)
        for row in read_of(Treatment.objects.all(), "animal", animals):
            if row.animal_id is not None:
                self._of_animal[row.animal_id].append(row)
        of_water = Treatment.objects.filter(tank__isnull=False).select_related("tank")
        self._of_water = [(row, water_of(row.tank)) for row in of_water if row.tank is not None]
        self._waters = {one.pk: water_of(one) for one in Tank.every.all()} if of_water else {}

    def __call__(self, leaving: Leaving) -> list[Doubt] | None:
        for one in leaving.animals:
            if self._may_matter(one.pk, leaving.tank, leaving.on):
                return None
        return []

    def _may_matter(self, animal: int, to: Tank | None, on: datetime.date) -> bool:
        """A treatment of its own, or of any water in which it ever was or comes to."""
        if any(holds_by_its_days(row, on) for row in self._of_animal.get(animal, ())):
            return True
        if not self._of_water:
            return False
        waters = {self._waters[stay.tank_id] for stay in self._where.stays_of(animal)}
        if to is not None:
            waters.add(water_of(to))
        return any(its in waters and holds_by_its_days(row, on) for row, its in self._of_water)


def doubts_before_going(animal: Animal, on: datetime.date) -> Iterator[Doubt]:
    """What holds one that is to go on loan or to leave."""
    return doubts_of_held([animal], "sell", on, needs_reason=False)


def treatments_in_water(tank: Tank, on: datetime.date) -> list[Treatment]:
    """What is in the water of a tank on a day, its own or of one that shares it: one query."""
    rows = Treatment.objects.filter(treatments_holding(on), tank__isnull=False)
    found = [one for one in rows.select_related("tank") if one.goes_on(on)]
    return [one for one in found if _is_one_water(one.tank, tank)]


def _is_one_water(one: Tank | None, other: Tank) -> bool:
    if one is None:
        return False
    return one.pk == other.pk or (one.system_id is not None and one.system_id == other.system_id)


def _doubts_of_water(coming: list[Animal], to: Tank, on: datetime.date) -> Iterator[Doubt]:
    names = some([one.name for one in coming], MOST_NAMED)
    for one in treatments_in_water(to, on):
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
