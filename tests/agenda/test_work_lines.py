"""What is due in a tank by its own rhythm: one line a tank, done with one tap."""

import datetime

import pytest
from django.urls import reverse

from breeding.agenda.queries import the_day
from breeding.housing.models import (
    Tank,
    TankRhythm,
    TankWork,
    WaterChange,
    WaterSystem,
    WaterTest,
)
from breeding.housing.services import move_animal
from breeding.program import clock
from tests import cast
from tests.cast import ago, words

pytestmark = pytest.mark.django_db
KEYS = ("tank_due", "tank_due_closely", "water_test", "water_test_closely")


def lines(**settings):
    found = the_day(cast.the_program(**settings), today=clock.today()).lines
    return [one for one in found if one.kind.key in KEYS]


@pytest.fixture
def pool(owner):
    made = Tank.objects.create(name="Pool", volume_litres=800)
    move_animal(cast.female("Mira"), made, on=ago(30), by=None)
    at = clock.now() - datetime.timedelta(hours=2)
    read = {"temperature_c": 27, "ph": 7, "ammonia_mg_l": 0, "nitrite_mg_l": 0}
    WaterTest.objects.create(tank=made, tested_at=at, **read)
    return made


def rhythm(tank, **every_days):
    for what, days in every_days.items():
        TankRhythm.objects.create(tank=tank, what=what, every_days=days)


def changed(tank, days, **facts):
    at = clock.now() - datetime.timedelta(days=days)
    return WaterChange.objects.create(tank=tank, changed_at=at, percent=30, **facts)


def test_a_tank_without_a_rhythm_is_quiet(pool):
    assert lines() == []


def test_all_that_is_due_in_a_tank_is_one_line(pool):
    rhythm(pool, change=14, filter=28)
    changed(pool, 20)
    (line,) = lines()
    assert (line.kind.key, line.who) == ("tank_due", "Pool")
    assert line.what == "water change and filter care due"
    assert "every 14 days; filter care: none on record, every 28 days." in line.why
    assert line.on == ago(6)


def test_an_overdue_test_is_said_in_that_line_and_in_no_other(pool):
    WaterTest.objects.update(tested_at=clock.now() - datetime.timedelta(days=20))
    rhythm(pool, change=14)
    (line,) = lines(water_test_days=7)
    assert line.what == "water change and water test due"
    rhythm_of_tests = TankRhythm.objects.create(tank=pool, what="test", every_days=60)
    (line,) = lines(water_test_days=7)
    assert line.what == "water change due"
    rhythm_of_tests.delete()
    changed(pool, 1)
    assert [one.kind.key for one in lines(water_test_days=7)] == ["water_test"]


def test_a_tanks_own_rhythm_of_tests_goes_before_the_programs(pool):
    WaterTest.objects.update(tested_at=clock.now() - datetime.timedelta(days=5))
    assert lines(water_test_days=7) == []
    rhythm(pool, test=3)
    (line,) = lines(water_test_days=7)
    assert "here a test may be 3 days old at most" in line.why


def test_a_change_in_a_tank_of_the_same_water_counts(pool):
    rhythm(pool, change=14)
    assert lines()
    pool.system = pool.system or _sump()
    pool.save()
    changed(Tank.objects.create(name="Bay", system=pool.system), 2)
    assert lines() == []


def _sump():
    return WaterSystem.objects.create(name="Sump")


def test_each_is_done_by_one_tap_on_the_line(as_keeper, pool):
    rhythm(pool, change=14, filter=28)
    changed(pool, 20)
    day = words(as_keeper.get(reverse("agenda:day")))
    again, rinsed = (
        reverse("housing:again", args=[pool.pk]),
        reverse("housing:tap_work", args=["filter", pool.pk]),
    )
    assert "Changed 30 % (about 240 litres) again" in day
    for address in (again, rinsed):
        assert f'action="{address}"' in day
        assert as_keeper.post(address, {"back": "day"}).url == reverse("agenda:day")
    assert lines() == []
    assert (WaterChange.objects.count(), TankWork.objects.count()) == (2, 1)


def test_a_withdrawn_change_is_due_again(pool):
    rhythm(pool, change=14)
    made = changed(pool, 1)
    assert lines() == []
    made.withdrawn_at = clock.now()
    made.save()
    assert len(lines()) == 1
