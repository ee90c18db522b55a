"""Which rows that are added every day are about some litters' pups."""

from collections.abc import Callable, Mapping

from django.db.models import Model, QuerySet

from breeding.feeding.models import Feeding, Meal
from breeding.litters.models import Litter, Pup
from breeding.pairings.models import Sighting
from breeding.program.unchanged.come import added_after


def about_pups_of(litters: QuerySet[Litter]) -> Mapping[type[Model], Callable[[int], bool]]:
    """By table, whether a row after this key is about one of them; a measurement always is."""
    pups = Pup.objects.filter(litter__in=litters, animal__isnull=False)

    def seen(last: int) -> bool:
        females = added_after(last, Sighting.objects.all()).values_list("female", flat=True)
        return pups.filter(animal__in=set(females)).exists()

    def fed(last: int) -> bool:
        fed = added_after(last, Meal.objects.all()).values_list("animal", flat=True)
        return pups.filter(animal__in=set(fed)).exists()

    return {Sighting: seen, Meal: fed, Feeding: lambda _: False}
