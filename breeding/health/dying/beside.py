"""What was so when an animal died: its water, its last meal, what ailed it, who was with it.

All of it follows from what is on record; nothing of it is typed again.
"""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils import timezone

from breeding.animals.models import Animal
from breeding.feeding.models import Meal
from breeding.health.apart.standing import others_in_water
from breeding.health.illness.standing import ailing, treatments_of
from breeding.health.models import Observation, Treatment
from breeding.housing.models import Stay, WaterTest
from breeding.words.days import long_day
from breeding.words.language import tell

Date = datetime.date
TREATED_DAYS = 30  # what was given so long before is named


@dataclass(frozen=True)
class Beside:
    """stay: where it was. water: the newest test before; ate: when it last ate, and what."""

    stay: Stay | None
    water: WaterTest | None
    ate: str
    ailed: Sequence[Observation]
    treated: Sequence[Treatment]
    others: Sequence[Animal]


def beside_death(animal: Animal, *, today: Date) -> Beside:
    """A constant number of queries; where the day is not known, as of today."""
    on = animal.state_on or today
    stay = last_stay(animal)
    return Beside(
        stay=stay,
        water=_water(stay, on) if stay else None,
        ate=_last_meal(animal, on),
        ailed=ailing([animal.pk], on).get(animal.pk, ()),
        treated=[
            one
            for one in treatments_of(animal, on)
            if one.until is None or (on - one.until).days <= TREATED_DAYS
        ],
        others=others_in_water(stay, on) if stay else (),
    )


def last_stay(animal: Animal) -> Stay | None:
    """Where it was when it died: the last stay that had begun, and had not ended, by then."""
    stays = Stay.objects.filter(animal=animal).select_related("tank__system")
    if animal.state_on is not None:
        stays = stays.filter(since__lte=animal.state_on).exclude(until__lt=animal.state_on)
    return stays.order_by("since", "pk").last()


def _water(stay: Stay, on: Date) -> WaterTest | None:
    """The newest test of its tank up to the end of that day."""
    end = timezone.make_aware(datetime.datetime.combine(on, datetime.time.max))
    tests = WaterTest.objects.filter(tank=stay.tank, tested_at__lte=end, withdrawn_at__isnull=True)
    return tests.order_by("tested_at", "pk").last()


def _last_meal(animal: Animal, on: Date) -> str:
    """When it last ate, and what; empty while nothing is on record."""
    end = timezone.make_aware(datetime.datetime.combine(on, datetime.time.max))
    took = (Meal.Took.ALL, Meal.Took.LITTLE)
    meal = (
        Meal.objects.filter(
            animal=animal,
            took__in=took,
            feeding__fed_at__lte=end,
            feeding__withdrawn_at__isnull=True,
        )
        .select_related("feeding__food")
        .order_by("feeding__fed_at", "pk")
        .last()
    )
    if meal is None:
        return ""
    said = tell(
        "{took} on {day}",
        took=meal.get_took_display(),
        day=long_day(timezone.localdate(meal.feeding.fed_at)),
    )
    return f"{said}, {meal.feeding.food}" if meal.feeding.food else said
