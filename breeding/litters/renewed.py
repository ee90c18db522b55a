"""Which rows that are added every day are about some litters' pups."""

from collections.abc import Callable, Mapping

from django.db.models import Model, QuerySet

from breeding.feeding.models import Feeding, Meal
from breeding.litters.models import Litter, Pup
from breeding.pairings.models import Sighting


def about_pups_of(litters: QuerySet[Litter]) -> Mapping[type[Model], Callable[[int], bool]]:
    """By table, whether a row after this key is about one of them; a measurement always is."""
    pups = Pup.objects.filter(litter__in=litters, animal__isnull=False)

    def seen(last: int) -> bool:
        rows = Sighting.objects.filter(pk__gt=last)
        return pups.filter(animal__in=rows.values("female")).exists()

    def fed(last: int) -> bool:
        return pups.filter(animal__in=Meal.objects.filter(pk__gt=last).values("animal")).exists()

    return {Sighting: seen, Meal: fed, Feeding: lambda _: False}
