"""Acts on what was measured of animals: one row or many, judged and written alike."""

import datetime
from collections.abc import Collection, Iterable, Iterator, Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.doubts.measured import doubts_of_size, own_weights, sizes_of_all
from breeding.animals.doubts.sizes import Size, Sizes
from breeding.animals.growth.weight_for_width import WeightForWidth
from breeding.animals.models import Animal, Measurement
from breeding.animals.parents.impossible import (
    after_death,
    before_birth,
    is_after_death,
    is_before_birth,
)
from breeding.animals.typed.fields import check_past_day
from breeding.program.acts.together import write_together
from breeding.program.models import Person, Program
from breeding.program.problems.beside import at_field
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import (
    Judged,
    clean_of_its_own,
    judging,
    settled,
    written_of,
)
from breeding.program.queries import the_program


@transaction.atomic
def add_measurement(
    animal: Animal,
    *,
    by: Person | None,
    on: datetime.date | None,
    disc_width_mm: int | None = None,
    weight_g: int | None = None,
    back_height_mm: int | None = None,
    girth_mm: int | None = None,
    condition: int | None = None,
    note: str = "",
    sure: Collection[str] = frozenset(),
) -> Measurement:
    """Write down size, back height or condition on a day; None: on a day that is not known.

    Raises DoubtError for a size that hardly follows from those on record.
    """
    measurement = Measurement(
        animal=animal,
        on=on,
        disc_width_mm=disc_width_mm,
        weight_g=weight_g,
        back_height_mm=back_height_mm,
        girth_mm=girth_mm,
        condition=condition,
        note=note,
        recorded_by=by,
    )
    [judged] = judge_measurements([measurement])
    write_together([settled(judged, sure)])
    return measurement


@transaction.atomic
def add_measurements(rows: Sequence[Measurement]) -> list[Judged[Measurement]]:
    """Write down all that may be, one after the other; what is asked of each is for the caller."""
    judged = judge_measurements(rows)
    write_together(written_of(judged))
    return judged


def judge_measurements(rows: Sequence[Measurement]) -> list[Judged[Measurement]]:
    """Each beside what is on record of its animal and the rows before it: a handful of queries."""
    animals, program = [row.animal for row in rows], the_program()
    sizes, own = sizes_of_all(animals), own_weights(animals, [row.on for row in rows])
    found = []
    for row, usual in zip(rows, own, strict=True):
        others = sizes[row.animal_id]
        judged = judging(row, lambda row: _judge(row, others, program, usual))  # noqa: B023
        if judged.may_be:
            others.add(Size(row.on, row.disc_width_mm, row.weight_g))
        found.append(judged)
    return found


def _judge(
    row: Measurement, others: Sizes, program: Program, own: WeightForWidth | None
) -> Iterator[Doubt]:
    check_measured_on(row.animal, row.on)
    new = Size(row.on, row.disc_width_mm, row.weight_g)
    yield from doubts_of_size(row.animal, new, others, program, own)
    clean_of_its_own(row)


def keep_measurements(rows: Iterable[Measurement]) -> list[Measurement]:
    """Without asking anything: whoever calls has asked for all of them."""
    kept = list(rows)
    for row in kept:
        clean_of_its_own(row)
    write_together(kept)
    return kept


@transaction.atomic
def change_measurement(measurement: Measurement, **figures: Any) -> Measurement:
    """Put the day, the figures or the note of a measurement right."""
    for name, value in figures.items():
        setattr(measurement, name, value)
    check_measured_on(measurement.animal, measurement.on)
    clean_of_its_own(measurement)
    measurement.save()
    return measurement


def check_measured_on(animal: Animal, on: datetime.date | None) -> None:
    """Raise ValidationError, at `on`, for a day on which it cannot have been measured."""
    if on is None:
        return
    try:
        check_past_day(on, datetime.date.max)
    except ValidationError as problem:
        raise at_field(problem, "on") from None
    if is_before_birth(animal, on):
        raise ValidationError({"on": before_birth(animal, on)})
    if is_after_death(animal, on):
        raise ValidationError({"on": after_death(animal, on)})
