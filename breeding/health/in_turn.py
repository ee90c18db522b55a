"""What holds animals, asked of one after the other, by the stays in hand."""

import datetime
from collections import defaultdict
from collections.abc import Mapping

from breeding.animals.models import Animal
from breeding.health.apart.in_turn import QuarantinesInTurn
from breeding.health.hold import Forbidden, Hold
from breeding.health.holds import (
    doubts_of_held,
    doubts_of_holds,
    hold_of,
    holds_by_its_days,
    holds_of,
    holds_of_treatments,
    may_be_held,
    was_treated_there,
)
from breeding.health.models import Treatment
from breeding.health.quarantine import hold_of_quarantine, water_of
from breeding.housing.models import Stay, Tank
from breeding.housing.stays.everywhere import Everywhere, Spent
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import read_of

Date = datetime.date


class HoldsInTurn:
    """`holds_of` each of some animals, by the stays in hand; all else is read once.

    animals: of whom it may be asked. Their tanks are read already, and none of their stays is
    another than on record until the day of which it is asked.
    """

    def __init__(self, animals: Mapping[int, Animal], where: Everywhere) -> None:
        self._where, self._may_be = where, may_be_held(animals)
        self._of_animal: dict[int, list[Treatment]] = defaultdict(list)
        its_own = Treatment.objects.order_by("since", "pk")
        for row in read_of(its_own, "animal", self._may_be):
            self._of_animal[row.animal_id or 0].append(row)
        of_water = Treatment.objects.filter(tank__isnull=False).order_by("since", "pk")
        every = of_water.select_related("tank") if self._may_be else ()
        self._of_water = [(row, water_of(row.tank)) for row in every if row.tank is not None]
        self._waters = {one.pk: water_of(one) for one in Tank.every.all()} if self._of_water else {}
        self._quarantines = QuarantinesInTurn(animals, where) if self._may_be else None

    def of(self, animal: Animal, on: Date) -> tuple[Hold, ...]:
        """By treatments, and in quarantine: as `holds_on` has them."""
        if animal.pk not in self._may_be or self._quarantines is None:
            return ()
        treated = self._of_treatments(animal.pk, on)
        apart = self._quarantines.of([animal], on).get(animal.pk)
        return (*treated, hold_of_quarantine(apart, on)) if apart else tuple(treated)

    def _of_treatments(self, animal: int, on: Date) -> list[Hold]:
        """Its own, then those of water it was in while the remedy was; the newest stays first."""
        its_own = [row for row in self._of_animal.get(animal, ()) if holds_by_its_days(row, on)]
        of_water = [(row, its) for row, its in self._of_water if holds_by_its_days(row, on)]
        met: dict[int, Treatment] = {}
        for stay in self._newest_first(animal) if of_water else ():
            for row, its in of_water:
                if its == self._waters[stay.tank_id] and was_treated_there(row, stay, on):
                    if stay.until == row.since:  # what was written down first says who was there
                        return list(holds_of_treatments([animal], on).get(animal, ()))
                    met.setdefault(row.pk, row)
        return [hold_of(row, animal, on) for row in (*its_own, *met.values())]

    def _newest_first(self, animal: int) -> list[Spent]:
        stays = self._where.stays_of(animal)
        return sorted(stays, key=lambda one: one.in_order, reverse=True)


class HoldsOfTwo:
    """`doubts_of_held` of two that are put together, while nobody is moved."""

    def __init__(self, animals: Mapping[int, Animal], where: Everywhere) -> None:
        self._holds = HoldsInTurn(animals, where)

    def doubts(
        self, two: tuple[Animal, Animal], forbidden: Forbidden, on: Date, field: str
    ) -> list[Doubt]:
        held = [(one, holds) for one in two if (holds := self._holds.of(one, on))]
        if len(held) == len(two):  # which of them comes first rests on what holds them
            return list(doubts_of_held(two, forbidden, on, field=field))
        return [doubt for one in held for doubt in doubts_of_holds(*one, forbidden, field)]


class HeldWhoGo:
    """`holds_of` those that go one after the other, each before it goes and after the others went.

    animals: those that go, as they stand by then; their stays end in hand alone. One alone is asked
    about as it is on record.
    """

    def __init__(self, animals: Mapping[int, Animal]) -> None:
        self.said: dict[int, tuple[Hold, ...]] = {}  # of those that were asked about
        self._where, self._stays = Everywhere(animals), dict[int, list[tuple[int, Stay]]]()
        self._is_alone = len(animals) == 1
        is_asked = not self._is_alone and bool(may_be_held(animals))
        self._holds = self._in_turn(animals) if is_asked else None

    def _in_turn(self, animals: Mapping[int, Animal]) -> HoldsInTurn:
        for stay in read_of(Stay.objects.order_by("since", "pk"), "animal", animals):
            stay.animal = animals[stay.animal_id]
            number = self._where.number()
            self._stays.setdefault(stay.animal_id, []).append((number, stay))
            self._where.put(number, stay)
        self._where.read({one.tank_id for its in self._stays.values() for _, one in its})
        return HoldsInTurn(animals, self._where)

    def of(self, animal: Animal, on: Date) -> tuple[Hold, ...]:
        found: tuple[Hold, ...] = holds_of(animal, on) if self._is_alone else ()
        if self._holds is not None:
            found = self._holds.of(animal, on)
        self.said[animal.pk] = found
        return found

    def asked(self, animal: Animal, on: Date) -> list[Doubt]:
        return list(doubts_of_holds(animal, self.of(animal, on), "sell", needs_reason=False))

    def goes(self, animal: Animal, on: Date) -> None:
        """Its open stay ends, and it stands as it does by now."""
        for number, stay in self._stays.get(animal.pk, ()):
            if stay.until is None and stay.since <= on:
                stay.until = on
            self._where.put(number, stay)
