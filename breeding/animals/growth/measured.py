"""Measurements of one animal, and widths of all, read once a page for everybody who asks."""

import datetime
from collections.abc import Sequence
from typing import NamedTuple

from django.db.models import F

from breeding.animals.models import Animal, Measurement
from breeding.program.frame.memory import remembered_while_reading
from breeding.program.unchanged.growing import kept_beside_added


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
MOST_ADDED = 200  # rows beside those that are kept; with more all are read again


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

    What was read stays while measurements are added, and only these are read: until one that was
    there is changed, or an animal is.
    """
    return remembered_while_reading("every width", _every_width)


def _every_width() -> Sequence[Width]:
    read, added = kept_beside_added("every width", Measurement, _read_widths, MOST_ADDED)
    if not added:
        return read
    together = {one.key: one for one in (*read, *added)}.values()
    return tuple(sorted(together, key=_day_and_key, reverse=True)[:MOST_WIDTHS])


def _read_widths(after: int = 0) -> tuple[Width, ...]:
    """Those with a key after this one."""
    rows = Measurement.objects.filter(
        animal__withdrawn_at__isnull=True, disc_width_mm__isnull=False
    ).order_by(F("on").desc(nulls_last=True), "-pk")
    if after:
        rows = rows.filter(pk__gt=after)
    fields = ("animal__sex", "animal__born_on", "animal__born_precision")
    facts = rows.values_list("pk", "animal", *fields, "on", "disc_width_mm", "weight_g")
    return tuple(Width(*row) for row in facts[:MOST_WIDTHS])


def _day_and_key(one: Width) -> tuple[bool, datetime.date, int]:
    return one.on is not None, one.on or datetime.date.min, one.key
