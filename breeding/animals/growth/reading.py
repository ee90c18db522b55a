"""How an animal grows, from the measurements of the program; reads, and writes nothing."""

import datetime
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from functools import lru_cache
from itertools import islice

import numpy as np

from breeding.animals import lineage
from breeding.animals.growth.curve import Curve
from breeding.animals.growth.fit import Measured, Program, fit_program
from breeding.animals.growth.line import StraightLine, is_enough
from breeding.animals.growth.measured import (
    Width,
    every_width,
    measurements_of_one,
    oldest_first,
)
from breeding.animals.growth.own import FEW, OwnGrowth
from breeding.animals.models import Animal, Measurement
from breeding.animals.species.profiles import Figures, all_profiles
from breeding.program.unchanged.growing import kept_while_growing

Date = datetime.date
Point = tuple[Date, float]
Pairs = tuple[tuple[float, float], ...]  # age in years, width in mm

YEAR = 365.25
MOST_ANIMALS = 120  # and of so many animals
ENOUGH_ANIMALS = 3  # with FEW measurements each: so many teach how the program's animals grow
DAY = str(Animal.Precision.DAY)
SEXES = {"F": ("female",), "M": ("male",)}


@dataclass(frozen=True)
class Reaching:
    """The days on which it is so wide: from, about, until (None: it may take for ever)."""

    width_mm: int
    early: Date | None
    middle: Date | None
    late: Date | None


@dataclass(frozen=True)
class GrowthReading:
    """What the measurements of one animal say of its growth.

    points: the widths measured, mm. others: the animals whose growth it leans on. behind: the
    chance that one on its own curve is as narrow as it was measured last, when there is an
    earlier one to reckon from.
    """

    animal: Animal
    points: tuple[Point, ...]
    growth: OwnGrowth | StraightLine | None
    others: int
    behind: float | None = None

    @property
    def is_line(self) -> bool:
        return isinstance(self.growth, StraightLine)

    def reaches(self, width_mm: int) -> Reaching | None:
        """When it is so wide; None when nothing can be said, or when it is already."""
        if self.growth is None or max(width for _, width in self.points) >= width_mm:
            return None
        span = self.growth.reaches(float(width_mm))
        early, middle, late = (self._day(age) for age in (span.early, span.middle, span.late))
        measured_on = self.points[-1][0]  # it was not so wide then
        return Reaching(width_mm, early and max(early, measured_on), middle, late)

    def _day(self, age: float | None) -> Date | None:
        born = self.animal.born_on
        if age is None or born is None or age > 100:
            return None
        return born + datetime.timedelta(days=round(age * YEAR))


@dataclass(frozen=True)
class Taught:
    """What the animals of one kind have taught; `others` with enough measurements each."""

    program: Program | None
    others: int


def growth_of(animal: Animal) -> GrowthReading | None:
    """What its widths say; None where it was never measured on a day, or its birthday is unknown.

    At most two queries.
    """
    measured = oldest_first(measurements_of_one(animal))
    return growths_of([animal], measured).get(animal.pk)


def growths_of(
    animals: Collection[Animal], measured: Iterable[Measurement] | None = None
) -> dict[int, GrowthReading]:
    """Of each that was measured on a day and whose birthday is known. Two queries for all.

    measured: all their measurements, oldest first, where they are read already.
    """
    born = {
        one.pk: one.born_on
        for one in animals
        if one.born_on is not None and one.born_precision == Animal.Precision.DAY
    }
    points: dict[int, list[Point]] = {}
    if measured is None:
        measured = Measurement.objects.filter(
            animal__in=born, disc_width_mm__isnull=False, on__isnull=False
        ).order_by("on", "pk")
    for row in measured:
        since = born.get(row.animal_id)
        if row.on and row.disc_width_mm and since and row.on >= since:
            points.setdefault(row.animal_id, []).append((row.on, float(row.disc_width_mm)))
    program = measured_program() if points else None
    return {
        one.pk: _reading(one, born[one.pk], tuple(points[one.pk]), program.taught(one))
        for one in animals
        if program is not None and one.pk in points
    }


def _reading(
    animal: Animal, born_on: Date, points: tuple[Point, ...], taught: Taught
) -> GrowthReading:
    pairs = tuple(((on - born_on).days / YEAR, width) for on, width in points)
    growth = _growth(pairs, taught)
    behind = None
    earlier = _growth(pairs[:-1], taught) if len(pairs) > 1 else None
    if isinstance(earlier, OwnGrowth):
        behind = earlier.behind(*pairs[-1])
    return GrowthReading(animal, points, growth, taught.others, behind)


def _growth(pairs: Pairs, taught: Taught) -> OwnGrowth | StraightLine | None:
    """A curve where enough is measured; else a straight line, where two widths allow one."""
    measured = Measured.of(pairs)
    is_enough_for_a_curve = len(pairs) >= FEW or taught.others >= ENOUGH_ANIMALS
    if taught.program is not None and is_enough_for_a_curve:
        return OwnGrowth(measured, taught.program)
    return StraightLine(measured) if is_enough(measured) else None


class MeasuredProgram:
    """The widths on record of everybody whose birthday is known, the latest measured first."""

    def __init__(self) -> None:
        self.profiles, self.shares = all_profiles(), lineage.current().shares
        self.measured: dict[tuple[int, str], list[Width]] = {}
        for one in every_width():
            if one.born_on and one.on and one.born_precision == DAY and one.on >= one.born_on:
                self.measured.setdefault((one.animal, one.sex), []).append(one)
        self._kinds: dict[tuple[str, str], Taught] = {}

    def taught(self, animal: Animal) -> Taught:
        """What those of its sex and profile have taught; of unknown sex: those of every sex."""
        figures = self._figures(animal.pk)
        kind = (animal.sex, figures.key)
        if kind not in self._kinds:
            self._kinds[kind] = self._fitted(animal.sex, figures)
        return self._kinds[kind]

    def _fitted(self, sex: str, figures: Figures) -> Taught:
        start = start_of(sex, figures)
        if start is None:
            return Taught(None, 0)
        like = (
            _pairs(widths)
            for (key, its_sex), widths in self.measured.items()
            if (sex not in SEXES or sex == its_sex) and self._figures(key).key == figures.key
        )
        rows_of = tuple(islice(like, MOST_ANIMALS))
        return Taught(_fitted(rows_of, start), sum(len(pairs) >= FEW for pairs in rows_of))

    def _figures(self, key: int) -> Figures:
        return self.profiles.of(self.shares.get(key, {}))


def _pairs(widths: Iterable[Width]) -> Pairs:
    """The youngest first."""
    return tuple(
        sorted(
            ((one.on - one.born_on).days / YEAR, float(one.width_mm))
            for one in widths
            if one.on and one.born_on
        )
    )


def measured_program() -> MeasuredProgram:
    """Of this moment; kept until a width, an animal, its kind or a profile is written."""
    return kept_while_growing("widths of the program", MeasuredProgram, {})


@lru_cache(maxsize=16)
def _fitted(rows_of: tuple[Pairs, ...], start: Curve) -> Program:
    """Kept by its very content, so that no other process can make it wrong."""
    return fit_program([Measured.of(pairs) for pairs in rows_of], start=start)


def start_of(sex: str, figures: Figures) -> Curve | None:
    """The curve a fit starts from; None where the profile has none. Unknown sex: between both."""
    names = SEXES.get(sex, ("female", "male"))
    curves = []
    for name in names:
        keys = (f"growth_final_{name}_mm", f"growth_rate_{name}", f"growth_birth_{name}_mm")
        if all(key in figures.values for key in keys):
            curves.append([figures.values[key] for key in keys])
    if not curves:
        return None
    final, rate, birth = np.mean(curves, axis=0)
    return Curve(float(final), float(rate), float(birth)) if birth < final else None
