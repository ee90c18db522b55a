"""What the tests of wounds, separations and nurseries do again and again."""

import datetime
from decimal import Decimal

from breeding.housing.models import Tank, WaterTest
from breeding.housing.services import move_animal
from breeding.pairings.models import SignKind
from breeding.pairings.services import log_sighting, open_pairing
from breeding.program import clock
from breeding.program.queries import the_program


def words(answer):
    """A page as one line."""
    return " ".join(answer.content.decode().split())


def ago(days):
    return clock.today() - datetime.timedelta(days=days)


def pair(female, male, since, until=None, **more):
    return open_pairing(
        female=female,
        male=male,
        introduced_on=ago(since),
        separated_on=None if until is None else ago(until),
        program=the_program(),
        by=None,
        today=clock.today(),
        **more,
    )


def see(female, kind="copulation", days=0, **more):
    return log_sighting(
        female=female,
        kind=SignKind.objects.get(key=kind),
        seen_at=clock.now() - datetime.timedelta(days=days),
        now=clock.now(),
        by=None,
        **more,
    )


def tank(name, *animals, since=30, **facts):
    """A tank with these animals in it."""
    made = Tank.objects.create(name=name, **facts)
    for animal in animals:
        move_animal(animal, made, on=ago(since), by=None)
    return made


def fit_water(tank, days=0, ammonia="0", nitrite="0"):
    """A test of its water in which temperature and pH are as they should be."""
    return WaterTest.objects.create(
        tank=tank,
        tested_at=clock.now() - datetime.timedelta(days=days),
        temperature_c=Decimal("27"),
        ph=Decimal("7"),
        ammonia_mg_l=Decimal(ammonia),
        nitrite_mg_l=Decimal(nitrite),
    )
