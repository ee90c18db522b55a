"""What sightings and births say of food: who was seen off food or eating again; writes nothing."""

import datetime
from collections.abc import Collection, Iterable

from django.db.models import Q
from django.utils import timezone

from breeding.feeding.appetite import Seen
from breeding.pairings.models import Outcome, Sighting
from breeding.pairings.season.harm import EATS_AGAIN


def seen_of_food(keys: Collection[int], until: datetime.datetime) -> Iterable[Seen]:
    """Of these animals, up to a moment: two queries."""
    tells = Q(kind__is_off_food=True) | Q(kind__key=EATS_AGAIN)
    rows = Sighting.objects.filter(tells, withdrawn_at__isnull=True, female__in=keys)
    for pk, female, at, refused in rows.filter(seen_at__lt=until).values_list(
        "pk", "female", "seen_at", "kind__is_off_food"
    ):
        yield Seen(female, at, "refused" if refused else "taken", str(pk))
    births = Outcome.objects.filter(
        withdrawn_at__isnull=True, kind__in=Outcome.BIRTHS, female__in=keys
    )
    for female, on in births.values_list("female", "on"):
        at = datetime.datetime.combine(on, datetime.time(12), timezone.get_current_timezone())
        if at < until:
            yield Seen(female, at, "birth")
