"""Measurements of one animal, and widths of all, read once a page for everybody who asks."""

import datetime
from bisect import insort
from collections.abc import Sequence
from typing import NamedTuple

from django.db.models import F

from breeding.animals.models import Animal, Measurement
from breeding.program.frame.memory import remembered_while_reading
from breeding.program.unchanged.along import take_along
from breeding.program.unchanged.come import Written
from breeding.program.unchanged.growing import kept_beside_written
from breeding.program.unchanged.marks import rests_on


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


_NAME = "every width"
take_along(_NAME, None)
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
    rests_on(Measurement, Animal)
    return remembered_while_reading(_NAME, _every_width)


def _every_width() -> Sequence[Width]:
    found = kept_beside_written("every width", Measurement, _read_widths, MOST_WRITTEN)
    if not found.since and not found.changed:
        return found.kept[:MOST_WIDTHS]
    since = {one.key: one for one in found.since}  # one that was added and changed is told twice
    others = {*found.changed, *since}
    together = [one for one in found.kept if one.key not in others]
    for one in since.values():
        insort(together, one, key=_latest_first)
    return tuple(together[:MOST_WIDTHS])


def _read_widths(written: Written | None = None) -> tuple[Width, ...]:
    """So many more than are asked for that those stand ready which come after others that went."""
    rows = Measurement.objects.filter(
        animal__withdrawn_at__isnull=True, disc_width_mm__isnull=False
    ).order_by(F("on").desc(nulls_last=True), "-pk")
    if written is None:
        return tuple(Width(*row) for row in rows.values_list(*FACTS)[: MOST_WIDTHS + MOST_WRITTEN])
    return tuple(Width(*row) for row in written.are(rows, *FACTS))


def _latest_first(one: Width) -> tuple[int, int]:
    """Those of an unknown day last; of one day the last written first."""
    return -one.on.toordinal() if one.on else 0, -one.key
