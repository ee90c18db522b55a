"""What sightings and births say of food: who was seen off food or eating again; writes nothing."""

import datetime
from collections.abc import Collection, Iterable

from django.db.models import Q

from breeding.animals.models import Animal
from breeding.feeding.appetite import Seen
from breeding.feeding.models import Meal
from breeding.feeding.queries import end_of
from breeding.pairings.models import Outcome, Sighting
from breeding.pairings.season.harm import EATS_AGAIN

LEFT_SHOWN = 12


def seen_of_food(keys: Collection[int], until: datetime.datetime) -> Iterable[Seen]:
    """Of these animals, up to a moment: one query."""
    tells = Q(kind__is_off_food=True) | Q(kind__key=EATS_AGAIN)
    rows = Sighting.objects.filter(tells, withdrawn_at__isnull=True, female__in=keys)
    for pk, female, at, refused in rows.filter(seen_at__lt=until).values_list(
        "pk", "female", "seen_at", "kind__is_off_food"
    ):
        yield Seen(female, at, "refused" if refused else "taken", str(pk))


def births_of(keys: Collection[int]) -> Iterable[tuple[int, datetime.date]]:
    """The days on which these gave birth: one query."""
    births = Outcome.objects.filter(
        withdrawn_at__isnull=True, kind__in=Outcome.BIRTHS, female__in=keys
    )
    return births.values_list("female", "on")


def meals_left(female: Animal, *, since: Outcome | None, asof: datetime.date) -> list[Meal]:
    """The latest meals that she refused or hardly touched in this season, newest first."""
    left = Meal.objects.filter(
        animal=female,
        took__in=(Meal.Took.NONE, Meal.Took.LITTLE),
        feeding__withdrawn_at__isnull=True,
        fed_at__lt=end_of(asof),
    )
    if since is not None:
        left = left.filter(fed_at__gte=end_of(since.on))
    return list(left.select_related("feeding__food").order_by("-fed_at", "-pk")[:LEFT_SHOWN])
