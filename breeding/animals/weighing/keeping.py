"""The act: what was measured of several animals on one day is kept, all of it or nothing."""

import datetime
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.doubts.measured import doubts_of_size, own_weights, sizes_of_all
from breeding.animals.doubts.sizes import Size, Sizes
from breeding.animals.growth.weight_for_width import WeightForWidth
from breeding.animals.models import Animal, Measurement
from breeding.animals.weighing.acts import check_measured_on, keep_measurements
from breeding.program.models import Person
from breeding.program.problems.doubts import Doubt, ask
from breeding.program.queries import the_program
from breeding.words.days import long_day
from breeding.words.language import tell

Date = datetime.date


@dataclass(frozen=True)
class Weighed:
    """What one animal was measured at; None where that was not."""

    animal: Animal
    disc_width_mm: int | None = None
    weight_g: int | None = None
    condition: int | None = None

    @property
    def figures(self) -> dict[str, int | None]:
        return {
            "disc_width_mm": self.disc_width_mm,
            "weight_g": self.weight_g,
            "condition": self.condition,
        }

    @property
    def is_empty(self) -> bool:
        return not any(self.figures.values())


@transaction.atomic
def weigh_together(
    rows: Sequence[Weighed],
    *,
    on: Date,
    by: Person | None,
    sure: Collection[str] = frozenset(),
) -> list[Measurement]:
    """Write down a measurement of each; rows in which nothing stands are left out.

    All or nothing: raises ValidationError, by field and the animal's key ("weight_g_12"), and
    DoubtError, which `sure` answers, for whatever hardly follows from what is on record.
    """
    filled = [row for row in rows if not row.is_empty]
    if not filled:
        raise ValidationError(
            tell("Nothing is filled in yet; write a weight, a size or a condition.")
        )
    for row in filled:
        check_measured_on(row.animal, on)
    animals = [row.animal for row in filled]
    own = own_weights(animals, [on] * len(animals))
    ask(_doubts(filled, on, sizes_of_all(animals), own), sure)
    return keep_measurements(
        Measurement(animal=row.animal, recorded_by=by, on=on, **row.figures) for row in filled
    )


def _doubts(
    rows: Sequence[Weighed],
    on: Date,
    sizes: Mapping[int, Sizes],
    own: Sequence[WeightForWidth | None],
) -> Iterator[Doubt]:
    """Of each animal what its own form would ask, and whether it is the second time that day."""
    program = the_program()
    for row, usual in zip(rows, own, strict=True):
        key, name = row.animal.pk, row.animal.name
        others = sizes[key]
        new = Size(on, row.disc_width_mm, row.weight_g)
        if on in others.days:
            yield Doubt(
                tell("{animal} is measured on {day} already.", animal=name, day=long_day(on)),
                f"weight_g_{key}",
            )
        for doubt in doubts_of_size(row.animal, new, others, program, usual):
            yield Doubt(f"{name}: " + doubt.sentence, f"{doubt.field}_{key}")
