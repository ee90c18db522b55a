"""Measurements of one animal, and widths of all, read once a page for everybody who asks."""

import datetime
from collections.abc import Sequence
from typing import NamedTuple

from django.db.models import F

from breeding.animals.models import Animal, Measurement
from breeding.program.frame.memory import remembered_while_reading
from breeding.program.unchanged.come import Written
from breeding.program.unchanged.growing import kept_beside_written


def every_measurement(animal: Animal) -> Sequence[Measurement]:
    """The latest first, withdrawn ones too, with who withdrew them: at most one query."""
    rows = Measurement.every.filter(animal=animal).select_related("withdrawn_by")
    return remembered_while_reading(f"measurements of {animal.pk}", lambda: tuple(rows))


def measurements_of_one(animal: Animal) -> list[Measurement]:
    """Those that count, the latest first."""
    return [one for one in every_measurement(animal) if not one.is_withdrawn]


def oldest_first(rows: Sequence[Measurement]) -> list[Measurement]:
    """Those of a known day."""
    dated = [one for one in rows if one.on is not None]
    return sorted(dated, key=lambda one: (one.on or datetime.date.min, one.pk))


MOST_WIDTHS = 5000  # of the latest of the program that what it has taught is drawn from
MOST_WRITTEN = 200  # rows beside those that are kept; with more all are read again


FACTS = (
    *("pk", "animal", "animal__sex", "animal__born_on", "animal__born_precision"),
    *("on", "disc_width_mm", "weight_g"),
)


class Width(NamedTuple):
    """One measured width on record, of whom, and the weight beside it."""

    key: int
    animal: int
    sex: str
    born_on: datetime.date | None
    born_precision: str
    on: datetime.date | None
    width_mm: int
    weight_g: int | None


def every_width() -> Sequence[Width]:
    """Of everybody, the latest first; those of an unknown day last. At most two queries.

    What was read stays while measurements are written, and only these are read: until an animal is
    changed.
    """
    return remembered_while_reading("every width", _every_width)


def _every_width() -> Sequence[Width]:
    found = kept_beside_written("every width", Measurement, _read_widths, MOST_WRITTEN)
    if not found.since and not found.changed:
        return found.kept[:MOST_WIDTHS]
    together = {one.key: one for one in found.kept if one.key not in found.changed}
    together |= {one.key: one for one in found.since}
    return tuple(sorted(together.values(), key=_day_and_key, reverse=True)[:MOST_WIDTHS])


def _read_widths(written: Written | None = None) -> tuple[Width, ...]:
    """So many more than are asked for that those stand ready which come after others that went."""
    rows = Measurement.objects.filter(
        animal__withdrawn_at__isnull=True, disc_width_mm__isnull=False
    ).order_by(F("on").desc(nulls_last=True), "-pk")
    if written is None:
        return tuple(Width(*row) for row in rows.values_list(*FACTS)[: MOST_WIDTHS + MOST_WRITTEN])
    return tuple(Width(*row) for row in written.are(rows, *FACTS))


def _day_and_key(one: Width) -> tuple[bool, datetime.date, int]:
    return one.on is not None, one.on or datetime.date.min, one.key
