"""Who is where: questions that gather several rows; they write nothing."""

from collections.abc import Iterable

from django.db.models import Exists, OuterRef, Prefetch, QuerySet

from breeding.animals.models import Animal
from breeding.housing.models import GONE, Stay, Tank


def present_stays() -> QuerySet[Stay]:
    """Open stays of animals that are here; one that died or left is in no tank any more."""
    return Stay.objects.filter(until__isnull=True).exclude(animal__state__in=GONE)


def where_are(animals: Iterable[Animal]) -> dict[int, Stay]:
    """The present stay of each of these animals, by the animal's key: one query."""
    stays = present_stays().filter(animal__in=[animal.pk for animal in animals])
    return {stay.animal_id: stay for stay in stays.select_related("tank")}


def companions(animal: Animal) -> list[Animal]:
    """The others in its tank now: one query. Nobody for an animal in no tank."""
    its_tank = present_stays().filter(animal=animal).values("tank")
    others = Animal.objects.filter(
        stays__in=present_stays().filter(tank__in=its_tank).exclude(animal=animal)
    )
    return list(others.order_by("call_name", "code"))


def tanks_with_animals() -> QuerySet[Tank]:
    """Every tank with those in it now as `present_stays`: two queries."""
    present = present_stays().select_related("animal").order_by("animal__call_name", "animal__code")
    return Tank.objects.prefetch_related(Prefetch("stays", present, "present_stays"))


def in_no_tank() -> QuerySet[Animal]:
    """Animals that are here, or on loan, and in no tank on record."""
    housed = Stay.objects.filter(animal=OuterRef("pk"), until__isnull=True)
    found = Animal.objects.exclude(state__in=GONE).filter(~Exists(housed))
    return found.order_by("call_name", "code")
