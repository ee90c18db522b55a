"""What holds animals, asked of one after the other, by the stays in hand."""

import datetime
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping

from breeding.animals.models import Animal
from breeding.health.apart.in_turn import QuarantinesInTurn
from breeding.health.hold import Forbidden, Hold
from breeding.health.holds import (
    Inside,
    Moved,
    doubts_of_holds,
    hold_of,
    holds_by_its_days,
    holds_of,
    may_be_held,
    treated_by_stays,
    waters_of,
)
from breeding.health.models import Treatment
from breeding.health.quarantine import hold_of_quarantine, water_of
from breeding.housing.models import Stay, Tank
from breeding.housing.stays.everywhere import Everywhere
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import read_of

Date = datetime.date
LAST = datetime.datetime.max.replace(tzinfo=datetime.UTC)  # when what is to be written is


class TreatmentsInTurn:
    """What treatments hold each of some animals, by the stays in hand; all else is read once.

    animals: of whom it may be asked. by_water: treatments of water, the oldest first.
    """

    def __init__(self, animals: Collection[int], where: Everywhere) -> None:
        self._where = where
        self._of_animal: dict[int, list[Treatment]] = defaultdict(list)
        every = Treatment.objects.order_by("since", "pk")
        for row in read_of(every, "animal", animals):
            self._of_animal[row.animal_id or 0].append(row)
        self.by_water = waters_of(every.filter(tank__isnull=False).select_related("tank"))
        tanks = Tank.every.all() if self.by_water else ()
        self._waters = {one.pk: water_of(one) for one in tanks}

    def of(self, animal: int, on: Date) -> list[Hold]:
        """By its own, then by those of water it was in while the remedy was; newest stays first."""
        inside = self._inside(animal) if self.by_water else ()
        of_water = treated_by_stays(self.by_water, inside, on, self._written)
        rows = (*self._of_animal.get(animal, ()), *(row for _, row in of_water))
        return [hold_of(row, animal, on) for row in rows if holds_by_its_days(row, on)]

    def _inside(self, animal: int) -> Iterator[Inside]:
        """Its stays as the database has them, the newest first."""
        stays = sorted(self._where.stays_of(animal), key=lambda one: one.in_order)
        for one in reversed(stays):  # of a day, too, the one that is written last comes first
            yield Inside(animal, self._waters[one.tank_id], one.since, one.until)

    def _written(self, moved: Moved) -> dict[tuple[int, Date], datetime.datetime]:
        written: dict[tuple[int, Date], datetime.datetime] = {}
        for animal in dict.fromkeys(key for key, _ in moved):
            for one in self._where.stays_of(animal):
                at = one.recorded_at or LAST
                written[animal, one.since] = min(at, written.get((animal, one.since), at))
        return written


class HoldsInTurn:
    """`holds_of` each of some animals, by the stays in hand; all else is read once.

    animals: of whom it may be asked. may_be: as `may_be_held` has them. Their tanks are read
    already, and none of their stays is another than on record until the day of which it is asked.
    """

    def __init__(
        self, animals: Mapping[int, Animal], where: Everywhere, may_be: Collection[int]
    ) -> None:
        self._may_be = may_be
        self._treatments = TreatmentsInTurn(may_be, where) if may_be else None
        self._quarantines = QuarantinesInTurn(animals, where) if may_be else None

    def of(self, animal: Animal, on: Date) -> tuple[Hold, ...]:
        """By treatments, and in quarantine: as `holds_on` has them."""
        key = animal.pk
        if key not in self._may_be or self._treatments is None or self._quarantines is None:
            return ()
        treated = self._treatments.of(key, on)
        apart = self._quarantines.of([animal], on).get(key)
        return (*treated, hold_of_quarantine(apart, on)) if apart else tuple(treated)

    def doubts(
        self, animals: Iterable[Animal], forbidden: Forbidden, on: Date, field: str
    ) -> list[Doubt]:
        """As `doubts_of_held` has them."""
        return [
            doubt
            for one in animals
            for doubt in doubts_of_holds(one, self.of(one, on), forbidden, field)
        ]


class HeldWhoGo:
    """`holds_of` those that go one after the other, each before it goes and after the others went.

    animals: those that go, as they stand by then; their stays end in hand alone. otherwise: those
    that do not stand so on record. One alone that does is asked about as it is there.
    """

    def __init__(self, animals: Mapping[int, Animal], otherwise: Collection[int] = ()) -> None:
        self.said: dict[int, tuple[Hold, ...]] = {}  # of those that were asked about
        self._where, self._stays = Everywhere(animals), dict[int, list[tuple[int, Stay]]]()
        self._is_alone = len(animals) == 1 and not any(key in otherwise for key in animals)
        may_be = set() if self._is_alone else may_be_held(animals)
        self._holds = self._in_turn(animals, may_be) if may_be else None

    def _in_turn(self, animals: Mapping[int, Animal], may_be: Collection[int]) -> HoldsInTurn:
        for stay in read_of(Stay.objects.order_by("since", "pk"), "animal", animals):
            stay.animal = animals[stay.animal_id]
            number = self._where.number()
            self._stays.setdefault(stay.animal_id, []).append((number, stay))
            self._where.put(number, stay)
        self._where.read({one.tank_id for its in self._stays.values() for _, one in its})
        return HoldsInTurn(animals, self._where, may_be)

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
