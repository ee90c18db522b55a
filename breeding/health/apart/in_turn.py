"""Who is in quarantine by the stays in hand, asked of one day after the other."""

import datetime
from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import TypeVar

from breeding.animals.models import Animal
from breeding.health.apart.records import kinds_that_begin_again
from breeding.health.models import Observation, Quarantine, Treatment
from breeding.health.quarantine import Quarantined, may_be_of, read_of_each
from breeding.housing.models import Stay, Tank
from breeding.housing.stays.everywhere import Everywhere, Spent
from breeding.housing.stays.lately import moved_out_since
from breeding.program.problems.several import read_of

Date = datetime.date
Row = TypeVar("Row", Observation, Treatment)


class QuarantinesInTurn:
    """`quarantined` of some animals, by the stays in hand; all else is read once.

    animals: of whom it may be asked. Their tanks are read already.
    """

    def __init__(self, animals: Mapping[int, Animal], where: Everywhere) -> None:
        self._animals, self._where = animals, where
        kept_apart = Tank.every.filter(kind=Tank.Kind.QUARANTINE)
        self._apart = set(kept_apart.values_list("pk", flat=True))
        where.read(self._apart)
        everybody = where.everybody() | animals.keys()
        self._said: dict[int, list[Quarantine]] = defaultdict(list)
        for row in read_of(Quarantine.objects.order_by("pk"), "animal", everybody):
            self._said[row.animal_id].append(row)
        where.read_beside(key for key, rows in self._said.items() if any(map(_is_open, rows)))
        self._records = _InHand(animals, where) if self._said or self._apart else None

    def say(self, row: Quarantine) -> None:
        """One of theirs that is to be written counts as well."""
        self._said[row.animal_id].append(row)
        if self._records is None:
            self._records = _InHand(self._animals, self._where)

    def of(self, animals: Iterable[Animal], on: Date) -> dict[int, Quarantined]:
        """Those of these who are in quarantine on a day, by key."""
        some = [one for one in animals if self._may_be(one.pk, on)]
        if not some or self._records is None:
            return {}
        said = [row for one in some for row in self._said.get(one.pk, ())]
        return read_of_each(may_be_of(some, said, on), on, self._records)

    def _may_be(self, animal: int, on: Date) -> bool:
        """By word, or in a tank for quarantine as many days before as its days last."""
        by_word = self._said.get(animal, ())
        if any(_is_open(one) and one.since and one.since <= on for one in by_word):
            return True
        return any(
            spent.tank_id in self._apart
            and spent.since <= on
            and (spent.until is None or spent.until > moved_out_since(on))
            for spent in self._where.stays_of(animal)
        )


class _InHand:
    """`Records` by the stays in hand, of everybody who is in them."""

    def __init__(self, animals: Mapping[int, Animal], where: Everywhere) -> None:
        self._where = where
        self._tanks = {one.pk: one for one in Tank.every.all()}
        self._sharing: dict[int, set[int]] = defaultdict(set)  # tanks, of each system
        for one in self._tanks.values():
            if one.system_id is not None:
                self._sharing[one.system_id].add(one.pk)
        systems = {self._tanks[key].system_id for key in where.tanks()}
        where.read(key for one in systems if one is not None for key in self._sharing[one])
        others = read_of(Animal.every.all(), "pk", where.everybody() - animals.keys())
        self._animals = {**animals, **{one.pk: one for one in others}}
        ill = Observation.objects.filter(kind__in=kinds_that_begin_again())
        self._ill = sorted(read_of(ill, "animal", self._animals), key=_in_order)
        treated = Treatment.objects.exclude(against="").select_related("tank")
        of_water = treated.filter(tank__isnull=False)
        self._treated = sorted(
            [*read_of(treated, "animal", self._animals), *of_water], key=_in_order
        )

    def stays_of(self, animals: Collection[int], on: Date) -> list[Stay]:
        spent = (one for key in animals for one in self._where.stays_of(key))
        return [self._stay(one) for one in spent if one.since <= on]

    def stays_in(
        self, tanks: Collection[int], systems: Collection[int], first: Date, on: Date
    ) -> list[Stay]:
        every = set(tanks).union(*(self._sharing[one] for one in systems))
        spent = [one for tank in every for one in self._where.inside(tank, first, on)]
        return [self._stay(one) for one in sorted(spent, key=lambda one: one.in_order)]

    def illnesses(self, animals: Collection[int], first: Date, on: Date) -> list[Observation]:
        return [row for row in _within(self._ill, first, on) if row.animal_id in animals]

    def treatments(
        self,
        animals: Collection[int],
        tanks: Collection[int],
        systems: Collection[int],
        first: Date,
        on: Date,
    ) -> list[Treatment]:
        def is_meant(row: Treatment) -> bool:
            if row.tank is not None:
                return row.tank_id in tanks or row.tank.system_id in systems
            return row.animal_id in animals

        return [row for row in _within(self._treated, first, on) if is_meant(row)]

    def _stay(self, spent: Spent) -> Stay:
        return Stay(
            animal=self._animals[spent.animal_id],
            tank=self._tanks[spent.tank_id],
            since=spent.since,
            until=spent.until,
        )


def _is_open(row: Quarantine) -> bool:
    return row.ended_on is None


def _in_order(row: Row) -> tuple[Date, int]:
    return row.since, row.pk


def _within(rows: Sequence[Row], first: Date, last: Date) -> Sequence[Row]:
    """Of rows in their order those from a day to a day."""
    return rows[bisect_left(rows, first, key=_since) : bisect_right(rows, last, key=_since)]


def _since(row: Row) -> Date:
    return row.since
