"""Ammonia that appears after a change of stock, said with both dates."""

import datetime
from decimal import Decimal

import pytest
import time_machine

from breeding.housing.models import Tank, WaterSystem
from breeding.housing.services import move_animal
from breeding.housing.water.arisen import arisen_of
from breeding.housing.water.services import record_water_test
from breeding.program import clock
from tests import cast
from tests.cast import day

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-03-20 12:00:00Z", tick=False):
        yield


def read(tank, on, ammonia, **more):
    at = datetime.datetime.fromisoformat(f"{on}T10:00+00:00")
    values = {name: Decimal(value) for name, value in more.items()}
    record_water_test(
        tank, tested_at=at, now=clock.now(), by=None, ammonia_mg_l=Decimal(ammonia), **values
    )


def come(tank, on, *names):
    for name in names:
        move_animal(cast.female(name), tank, on=day(on), by=None)


@pytest.fixture
def pool(owner):
    return Tank.objects.create(name="Pool")


def said(tank):
    return arisen_of([tank], clock.today()).get(tank.pk, ())


def test_it_is_said_with_both_dates_and_who_came(pool):
    read(pool, "2026-03-01", "0")
    come(pool, "2026-03-08", "Mira", "Vega", "Wezen")
    read(pool, "2026-03-12", "0.5", temperature_c="26", ph="8")
    (words,) = said(pool)
    assert words.startswith(
        "Ammonia 0.5 mg/L NH4 on 12 March 2026, 4 days after Mira and two others came in on "
        "8 March 2026. Un-ionised ammonia 0.0"
    )
    read(pool, "2026-03-15", "1")
    assert "; 1 mg/L NH4 on 15 March 2026." in said(pool)[0]


def test_once_it_is_gone_nothing_is_said(pool):
    come(pool, "2026-03-08", "Mira")
    read(pool, "2026-03-12", "0.5")
    read(pool, "2026-03-16", "0")
    assert said(pool) == ()


def test_without_anybody_who_came_shortly_before_nothing_is_said(pool):
    come(pool, "2026-02-01", "Mira")
    read(pool, "2026-03-12", "0.5")
    assert said(pool) == ()


def test_whoever_moves_within_one_water_is_no_arrival(owner):
    sump = WaterSystem.objects.create(name="Sump")
    north, south = (Tank.objects.create(name=name, system=sump) for name in ("North", "South"))
    mira = cast.female("Mira")
    move_animal(mira, north, on=day("2026-01-01"), by=None)
    move_animal(mira, south, on=day("2026-03-08"), by=None)
    read(south, "2026-03-12", "0.5")
    assert said(south) == ()
    come(north, "2026-03-10", "Vega")
    assert "2 days after Vega came in" in said(south)[0]


def test_the_tanks_page_and_the_day_say_it(as_keeper, pool):
    come(pool, "2026-03-08", "Mira")
    read(pool, "2026-03-12", "0.5")
    sentence = "4 days after Mira came in on 8 March 2026"
    with time_machine.travel("2026-03-14 12:00:00Z", tick=False):
        for address in (pool.get_absolute_url(), "/"):
            assert sentence in cast.words(as_keeper.get(address, follow=True))
