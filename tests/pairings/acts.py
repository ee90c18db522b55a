"""What the tests of wounds, separations and nurseries do again and again."""

import datetime
from decimal import Decimal

from breeding.housing.models import Tank, WaterTest
from breeding.housing.services import move_animal
from breeding.program import clock
from tests import cast
from tests.cast import ago


def see(female, kind="copulation", days=0, **more):
    return cast.see(female, days, kind, **more)


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
