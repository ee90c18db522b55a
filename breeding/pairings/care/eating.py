"""What sightings and births say of food: who was seen off food or eating again; writes nothing."""

import datetime
from collections.abc import Collection, Iterable
from typing import NamedTuple

from django.db.models import Q

from breeding.animals.models import Animal
from breeding.feeding.appetite import Seen
from breeding.feeding.models import Meal
from breeding.feeding.queries import end_of
from breeding.pairings.models import Outcome, Sighting, SignKind
from breeding.pairings.outcomes import births_of_all
from breeding.pairings.season.harm import EATS_AGAIN
from breeding.program.frame.memory import remembered_while_reading
from breeding.program.unchanged.along import take_along
from breeding.program.unchanged.come import Written
from breeding.program.unchanged.marks import rests_on

LEFT_SHOWN = 12
_NAME = "told of harm"
take_along(_NAME, None)
TELLS_OF_FOOD = Q(kind__is_off_food=True) | Q(kind__key=EATS_AGAIN)
TELLS_OF_HARM = Q(kind__asks_severity=True) | Q(severity__isnull=False) | TELLS_OF_FOOD


class SignOfHarm(NamedTuple):
    """A sighting that tells of marks or of food, bare: of many few still matter.

    is_mark: whether its kind asks how bad marks are.
    """

    pk: int
    female_id: int
    seen_at: datetime.datetime
    severity: int | None
    kind: str
    is_mark: bool
    is_off_food: bool


def told_of_harm(keys: Collection[int]) -> list[SignOfHarm]:
    """Sightings of these that tell of marks or of food, of each as they were seen: one query.

    While a request only reads, nobody is asked about twice.
    """
    rests_on(Sighting, SignKind)
    held: dict[int, list[SignOfHarm]] = remembered_while_reading(_NAME, dict)
    if missing := set(keys) - held.keys():
        held |= _told(missing)
    return [one for key in dict.fromkeys(keys) for one in held[key]]


def _told(keys: Collection[int]) -> dict[int, list[SignOfHarm]]:
    rows = Sighting.objects.filter(TELLS_OF_HARM, withdrawn_at__isnull=True, female__in=keys)
    found: dict[int, list[SignOfHarm]] = {key: [] for key in keys}
    for row in rows.order_by("seen_at", "pk").values_list(
        "pk",
        "female",
        "seen_at",
        "severity",
        "kind__key",
        "kind__asks_severity",
        "kind__is_off_food",
    ):
        found[row[1]].append(SignOfHarm._make(row))
    return found


def seen_of_food(keys: Collection[int], until: datetime.datetime) -> Iterable[Seen]:
    """What was seen of these animals' food, up to a moment."""
    for row in told_of_harm(keys):
        if row.seen_at >= until:
            continue
        if row.is_off_food:
            yield Seen(row.female_id, row.seen_at, "refused", str(row.pk))
        elif row.kind == EATS_AGAIN:
            yield Seen(row.female_id, row.seen_at, "taken")


def seen_since(written: Written, tells: Q = TELLS_OF_FOOD) -> Collection[int]:
    """Whose food, or whatever `tells`, the sightings that were added tell of; and of whom any was
    changed."""
    return {key for (key,) in written.told(Sighting.objects.filter(tells), "female_id")}


def births_of(keys: Collection[int]) -> Iterable[tuple[int, datetime.date]]:
    """The days on which these gave birth: at most one query."""
    return ((birth.female_id, birth.on) for birth in births_of_all(keys))


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
