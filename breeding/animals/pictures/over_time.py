"""An animal's pictures in the order of their days, each with its age and its width on that day."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from breeding.animals.growth.reading import YEAR, GrowthReading, growth_of
from breeding.animals.models import Animal, Photograph
from breeding.words.days import reached

Date = datetime.date
Points = Sequence[tuple[Date, float]]

MOST = 120  # pictures on one page, the latest of them
NEAR_DAYS = 10  # a width measured so near stands for the day of the picture
FEW_DAYS = 60  # an age below that is said in days


@dataclass(frozen=True)
class Pictured:
    """A picture with what is known of the day it was taken; widths in mm, None: not known.

    `measured_on` is set where the width was measured; else it comes from the growth curve, with
    the span of nine of ten such animals.
    """

    photograph: Photograph
    age: str = ""
    width_mm: float | None = None
    measured_on: Date | None = None
    least_mm: float | None = None
    most_mm: float | None = None

    def share_of(self, widest_mm: float) -> int:
        """How large it is shown, in percent of the widest."""
        return round(100 * self.width_mm / widest_mm) if self.width_mm else 100


def pictured_over_time(animal: Animal) -> list[Pictured]:
    """The oldest first, those without a day last. Four queries."""
    photographs = list(Photograph.objects.filter(animal=animal).order_by("-taken_on", "-pk")[:MOST])
    dated = sorted((one for one in photographs if one.taken_on), key=lambda one: one.pk)
    dated.sort(key=lambda one: one.taken_on or Date.max)
    points = [
        (on, float(width))
        for on, width in animal.measurements.filter(
            on__isnull=False, disc_width_mm__isnull=False
        ).values_list("on", "disc_width_mm")
        if on and width
    ]
    reading = growth_of(animal)
    undated = [Pictured(one) for one in photographs if not one.taken_on]
    return [*(_pictured(one, animal, points, reading) for one in dated), *undated]


def _pictured(
    photograph: Photograph, animal: Animal, points: Points, reading: GrowthReading | None
) -> Pictured:
    on = photograph.taken_on
    assert on is not None  # noqa: S101 - only dated ones come here, for the type checker
    age = _age_words(animal, on)
    nearest = min(points, key=lambda point: abs((point[0] - on).days), default=None)
    if nearest and abs((nearest[0] - on).days) <= NEAR_DAYS:
        return Pictured(photograph, age, nearest[1], measured_on=nearest[0])
    if reading is None or reading.growth is None or animal.born_on is None:
        return Pictured(photograph, age)
    years = (on - animal.born_on).days / YEAR
    if years < 0:
        return Pictured(photograph, age)
    band = reading.growth.band(np.array([years]))
    least, middle, most = (float(part[0]) for part in (band.low, band.middle, band.high))
    return Pictured(photograph, age, middle, least_mm=least, most_mm=most)


def _age_words(animal: Animal, on: Date) -> str:
    """How old it was; nothing where its birthday is not known to the day, or comes later."""
    if animal.born_on is None or animal.born_precision != Animal.Precision.DAY:
        return ""
    return reached(animal.born_on, on, few_days=FEW_DAYS) if on >= animal.born_on else ""


def chosen_two(
    pictured: Sequence[Pictured], left: str, right: str
) -> tuple[Pictured, Pictured] | None:
    """The two asked for by their keys; else the first and the last whose width is known."""
    if len(pictured) < 2:
        return None
    by_key = {str(one.photograph.pk): one for one in pictured}
    known = [one for one in pictured if one.width_mm]
    first, last = (known[0], known[-1]) if len(known) > 1 else (pictured[0], pictured[-1])
    return by_key.get(left, first), by_key.get(right, last)
