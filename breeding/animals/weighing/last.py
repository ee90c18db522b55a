"""What animals were measured at last, as the table shows it beside its cells."""

import datetime
from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import F, Window
from django.db.models.functions import RowNumber

from breeding.animals.models import Animal, Measurement

Date = datetime.date
Known = tuple[Date, int]

MOST_ROWS = 12  # of the latest of each animal: its last width, weight and condition are among them


@dataclass(frozen=True)
class Last:
    """The last of each figure with its day; None: not among the latest measurements."""

    width: Known | None = None
    weight: Known | None = None
    condition: Known | None = None
    weights: tuple[Known, ...] = ()  # the latest, the oldest of them first

    @property
    def on(self) -> Date | None:
        """The day of the latest of the three."""
        return max(
            (one[0] for one in (self.width, self.weight, self.condition) if one), default=None
        )


def last_of(animals: Collection[Animal]) -> dict[int, Last]:
    """Of each that was measured on a day: one query, a dozen rows an animal."""
    rows = (
        Measurement.objects.filter(animal__in=animals, on__isnull=False)
        .annotate(
            place=Window(
                RowNumber(), partition_by=F("animal"), order_by=[F("on").desc(), F("pk").desc()]
            )
        )
        .filter(place__lte=MOST_ROWS)
        .order_by("animal", "on", "pk")
    )
    found: dict[int, Last] = {}
    for row in rows.values_list("animal", "on", "disc_width_mm", "weight_g", "condition"):
        key, on, width, weight, condition = row
        before = found.get(key, Last())
        if on is None:  # left out above; for the type checker
            continue
        found[key] = Last(
            (on, width) if width else before.width,
            (on, weight) if weight else before.weight,
            (on, condition) if condition else before.condition,
            (*before.weights, (on, weight)) if weight else before.weights,
        )
    return found
