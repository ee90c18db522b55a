"""How wide animals will be in days to come, as far as that can be told; writes nothing.

Whoever was measured is on a curve of its own, or leans on the others of the program, or on the
published curve its fit starts from. Whoever was never measured leans on the others too, where its
birthday is known; and of whom nothing is known, nothing is said.
"""

import datetime
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from django.db.models import F, OuterRef, Subquery

from breeding.animals.growth.curve import Curve
from breeding.animals.growth.fit import Measured
from breeding.animals.growth.line import StraightLine, is_enough
from breeding.animals.growth.own import FEW, Band, OwnGrowth
from breeding.animals.growth.reading import (
    YEAR,
    MeasuredProgram,
    Point,
    Taught,
    measured_program,
    start_of,
)
from breeding.animals.lineage import current as current_lineage
from breeding.animals.models import Animal, Measurement
from breeding.animals.species.profiles import Figures, all_profiles
from breeding.program.frame.memory import remembered_while_reading

Date = datetime.date
Ground = Literal["own", "others", "published", "line", "measured"]

# The most that captive animals are thought to outgrow the published curves of wild ones by: a
# screen, so that no curve is fitted where even so nothing would come of it. Assumptions.
FASTER, LARGER = 4.0, 1.25
NOT_AHEAD_MM = 10.0  # and a measurement may be so much too small
STEPS = 40  # widths are reckoned on so many days, and between them in straight lines


@dataclass(frozen=True)
class WidthAhead:
    """One animal, the widths measured, and how it grows on.

    points: by day, in mm. taught: what its kind has taught; None where its birthday is unknown.
    loose: a width on no day, for one that was never measured on one.
    """

    animal: Animal
    points: tuple[Point, ...]
    taught: Taught | None
    loose: float | None = None

    @cached_property
    def growth(self) -> OwnGrowth | StraightLine | None:
        """The curve, or the line where no curve of its kind is known."""
        born = self.animal.born_on
        if self.taught is None or born is None:
            return None
        pairs = [((on - born).days / YEAR, width) for on, width in self.points if on >= born]
        measured = Measured.of(pairs)
        if self.taught.program is not None:
            return OwnGrowth(measured, self.taught.program)
        return StraightLine(measured) if is_enough(measured) else None

    @property
    def is_known(self) -> bool:
        return bool(self.points) or self.loose is not None or self.growth is not None

    @property
    def ground(self) -> Ground:
        """What its widths to come rest on; "measured": it is taken to be as wide as it was."""
        if isinstance(self.growth, StraightLine):
            return "line"
        if self.growth is None or self.taught is None or self.taught.program is None:
            return "measured"
        if len(self.points) >= FEW:
            return "own"
        return "others" if self.taught.program.animals else "published"

    def on(self, days: Sequence[Date]) -> Band:
        """Its widths on these days in order: nine of ten such animals lie between.

        Nobody grows narrower, so never less than it was measured last.
        """
        last = self.points[-1][1] if self.points else (self.loose or 0.0)
        born, growth = self.animal.born_on, self.growth
        if growth is None or born is None:
            same = np.full(len(days), last)
            return Band(same, same, same)
        ages = np.array([max((on - born).days, 0) / YEAR for on in days])
        steps = np.linspace(ages[0], ages[-1], STEPS) if len(ages) > STEPS else ages
        band = growth.band(steps)
        low, middle, high = (
            np.maximum(np.maximum.accumulate(np.interp(ages, steps, part)), last)
            for part in (band.low, band.middle, band.high)
        )
        return Band(low, middle, high)


def widths_ahead(
    animals: Iterable[Animal], program: MeasuredProgram | None = None
) -> dict[int, WidthAhead]:
    """Of each of these animals, by its key: four queries for all, none for nobody.

    program: what its animals have taught, where it is read already.
    """
    animals = list(animals)
    if not animals:
        return {}
    points: dict[int, list[Point]] = {one.pk: [] for one in animals}
    loose: dict[int, float] = {}
    rows = Measurement.objects.filter(animal__in=list(points), disc_width_mm__isnull=False)
    for key, on, width in rows.order_by("on", "pk").values_list("animal", "on", "disc_width_mm"):
        if on is None:
            loose[key] = float(width or 0)
        else:
            points[key].append((on, float(width or 0)))
    program = program or measured_program()
    return {
        one.pk: WidthAhead(
            one,
            tuple(points[one.pk]),
            program.taught(one) if is_born_on_a_day(one) else None,
            loose.get(one.pk),
        )
        for one in animals
    }


def is_born_on_a_day(animal: Animal) -> bool:
    return animal.born_on is not None and animal.born_precision == Animal.Precision.DAY


def latest_widths(keys: Collection[int]) -> dict[int, tuple[Date | None, int]]:
    """The day and the width in mm by which each was measured last: one query for all.

    In a request that only reads nobody is asked about twice.
    """
    held: dict[int, tuple[Date | None, int] | None]
    held = remembered_while_reading("latest widths", dict)
    if missing := [key for key in keys if key not in held]:
        held |= dict.fromkeys(missing) | _latest_widths(missing)
    return {key: latest for key in keys if (latest := held[key]) is not None}


def _latest_widths(keys: Collection[int]) -> dict[int, tuple[Date | None, int]]:
    rows = Measurement.objects.filter(animal=OuterRef("pk"), disc_width_mm__isnull=False)
    latest = rows.order_by(F("on").desc(nulls_last=True), "-pk")[:1]
    found = Animal.objects.filter(pk__in=keys).annotate(
        width=Subquery(latest.values("disc_width_mm")), measured_on=Subquery(latest.values("on"))
    )
    return {
        pk: (on, width)
        for pk, on, width in found.values_list("pk", "measured_on", "width")
        if width is not None
    }


def most_on(
    animal: Animal, latest: tuple[Date | None, int] | None, on: Date, figures: Figures
) -> float | None:
    """A width that it will hardly exceed on a day, without a fit; None where nothing says so."""
    start = start_of(animal.sex, figures)
    if latest is None:
        return None
    measured_on, width = latest
    if not is_born_on_a_day(animal):
        return float(width)  # nobody can tell how it grows
    if measured_on is None or start is None:
        return None
    return _most(float(width), max((on - measured_on).days, 0) / YEAR, start)


def _most(width: float, years: float, start: Curve) -> float:
    """Growing on towards a larger final width at a faster rate than any that is published."""
    width += NOT_AHEAD_MM
    final = max(start.final_width * LARGER, width)
    return final - (final - width) * float(np.exp(-start.rate * FASTER * years))


def figures_of(keys: Collection[int]) -> Mapping[int, Figures]:
    """The figures that hold for each of these animals."""
    if not keys:
        return {}
    profiles, shares = all_profiles(), current_lineage().shares
    return {key: profiles.of(shares.get(key, {})) for key in keys}
