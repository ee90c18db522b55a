"""Questions about plans that gather several rows; they write nothing."""

import datetime

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.db.models.functions import TruncDate

from breeding.animals.models import Animal
from breeding.housing.queries import present_stays
from breeding.pairings.models import Pairing
from breeding.pairings.queries import HERE
from breeding.planning.models import PlannedPairing


def waiting() -> QuerySet[PlannedPairing]:
    """Planned pairings that still wait, by their day; one of an animal that is gone does not."""
    return unfulfilled().filter(female__state__in=HERE, male__state__in=HERE)


def unfulfilled() -> QuerySet[PlannedPairing]:
    """Planned pairings that are neither fulfilled nor given up, by their day.

    One is fulfilled when the two are put together after it was planned (on the same day: when
    that was written down later).
    """
    later_that_day = Q(
        introduced_on=OuterRef("planned_on"), recorded_at__gte=OuterRef("recorded_at")
    )
    done = Pairing.objects.filter(
        Q(introduced_on__gt=OuterRef("planned_on")) | later_that_day,
        female=OuterRef("female"),
        male=OuterRef("male"),
        withdrawn_at__isnull=True,
    )
    return (
        PlannedPairing.objects.filter(withdrawn_at__isnull=True)
        .annotate(planned_on=TruncDate("recorded_at"))
        .filter(~Exists(done))
        .select_related("female", "female__portrait", "male", "tank")
        .order_by("not_before", "pk")
    )


def given_up(*, most: int = 30) -> list[PlannedPairing]:
    """The latest plans that were given up: one query."""
    found = PlannedPairing.objects.filter(withdrawn_at__isnull=False)
    return list(
        found.select_related("female", "male", "withdrawn_by").order_by("-withdrawn_at")[:most]
    )


def living_keys() -> list[int]:
    """Everybody living in the program."""
    return list(Animal.objects.filter(state__in=HERE).order_by("pk").values_list("pk", flat=True))


def tanks_of_young(today: datetime.date) -> int:
    """Tanks with young of the last year in them, that are free again before new litters come."""
    since = today - datetime.timedelta(days=365)
    stays = present_stays().filter(animal__born_on__gt=since).order_by()
    return stays.values("tank").distinct().count()
