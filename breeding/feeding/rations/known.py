"""What is on record of those that are fed, read once for many rounds: where, how heavy."""

import datetime
from bisect import bisect_right, insort
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from typing import NamedTuple

from breeding.animals import revisions
from breeding.animals.models import Animal, Measurement, Species
from breeding.animals.species.profiles import every_species
from breeding.feeding.models import Feeding
from breeding.feeding.rations import amounts as rations
from breeding.feeding.rations.bodies import grams_of, is_measured_so
from breeding.housing.models import Stay, Tank
from breeding.program.parts import in_parts

Date = datetime.date
Eaters = Mapping[Animal, str]  # what each made of it


class Figures(NamedTuple):
    """What one measurement says, in the order of its days and its keys."""

    on: Date
    pk: int
    weight_g: int | None
    disc_width_mm: int | None


class Known:
    """Of these rounds; each kind of record is read when it is first asked for."""

    def __init__(self, rounds: Iterable[tuple[Feeding, Eaters]]) -> None:
        rounds = list(rounds)
        self._in_tanks = {
            one.pk for row, eaters in rounds if row.tank is not None for one in eaters
        }
        self._weighed = {one.pk for row, eaters in rounds if row.amount_g for one in eaters}
        self._tanks = {row.tank_id for row, _ in rounds if row.tank_id is not None}
        self._by_disc: dict[frozenset[int], bool] = {}

    def was_in(self, tank: Tank, animal: Animal, on: Date) -> bool:
        """Whether it was in a tank on a day, the days of its moves among them."""
        return any(
            since <= on and (until is None or until >= on)
            for since, until in self._stays.get((animal.pk, tank.pk), ())
        )

    @cached_property
    def _species(self) -> Mapping[int, Species]:
        return every_species(revisions.current().figures)

    @cached_property
    def _stays(self) -> dict[tuple[int, int], list[tuple[Date, Date | None]]]:
        found: dict[tuple[int, int], list[tuple[Date, Date | None]]] = {}
        for keys in in_parts(sorted(self._in_tanks)):
            rows = Stay.objects.filter(animal__in=keys, tank__in=self._tanks).order_by()
            for animal, tank, since, until in rows.values_list("animal", "tank", "since", "until"):
                found.setdefault((animal, tank), []).append((since, until))
        return found

    def weight(self, animals: Iterable[Animal], asof: Date) -> float | None:
        """What they weigh together at most, in grams; None while one of them is not known."""
        keys = [one.pk for one in animals]
        by_disc = self._measured_so(keys)
        every = []
        for key in keys:
            heavy, wide = (_latest(figures.get(key, ()), asof) for figures in self._sizes)
            every.append(grams_of(heavy, wide, by_disc)[0])
        total, unknown = rations.together(every)
        return None if total is None or unknown else total.most

    @cached_property
    def _sizes(self) -> tuple[dict[int, list[Figures]], dict[int, list[Figures]]]:
        """Weights and widths of each animal, the oldest first."""
        weights: dict[int, list[Figures]] = {}
        widths: dict[int, list[Figures]] = {}
        for keys in in_parts(sorted(self._weighed)):
            rows = Measurement.objects.filter(animal__in=keys, on__isnull=False).order_by()
            facts = rows.values_list("animal", "on", "pk", "weight_g", "disc_width_mm")
            for animal, on, pk, grams, width in facts:
                if on is None:
                    continue
                one = Figures(on, pk, grams, width)
                if grams is not None:
                    insort(weights.setdefault(animal, []), one, key=_in_turn)
                if width is not None:
                    insort(widths.setdefault(animal, []), one, key=_in_turn)
        return weights, widths

    def _measured_so(self, keys: Sequence[int]) -> bool:
        these = frozenset(keys)
        if these not in self._by_disc:
            self._by_disc[these] = is_measured_so(keys, self._species)
        return self._by_disc[these]


def _in_turn(one: Figures) -> tuple[Date, int]:
    return one.on, one.pk


def _latest(figures: Sequence[Figures], asof: Date) -> Figures | None:
    upto = bisect_right(figures, asof, key=lambda one: one.on)
    return figures[upto - 1] if upto else None
