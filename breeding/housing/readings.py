"""Who is where: questions that gather several rows; they write nothing."""

from collections.abc import Iterable

from django.db.models import Prefetch, QuerySet

from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank


def where_are(animals: Iterable[Animal]) -> dict[int, Stay]:
    """The present stay of each of these animals, by the animal's key: one query."""
    stays = Stay.objects.filter(
        animal__in=[animal.pk for animal in animals], until__isnull=True
    ).select_related("tank")
    return {stay.animal_id: stay for stay in stays}


def tanks_with_animals() -> QuerySet[Tank]:
    """Every tank with those in it now as `present_stays`: two queries."""
    present = (
        Stay.objects.filter(until__isnull=True)
        .select_related("animal")
        .order_by("animal__call_name", "animal__code")
    )
    return Tank.objects.prefetch_related(Prefetch("stays", present, "present_stays"))
