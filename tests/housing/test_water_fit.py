"""Whether water is fit, by tests of the last days; what is not known is said."""

import datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from breeding.housing.models import Tank, TankRhythm, WaterRange, WaterSystem, WaterTest
from breeding.housing.queries import water_fit, water_fits
from breeding.housing.water.services import record_water_test
from breeding.housing.work.rhythm import choose_rhythms
from breeding.program.models import Program
from breeding.program.services import withdraw
from tests import cast

pytestmark = pytest.mark.django_db
TODAY = cast.day("2026-03-20")
GOOD = {"temperature_c": 26.5, "ph": 7.0, "ammonia_mg_l": 0, "nitrite_mg_l": 0}


@pytest.fixture
def pool():
    return Tank.objects.create(name="Pool")


def at(days_ago=0, hour=10):
    on = TODAY - datetime.timedelta(days=days_ago)
    return datetime.datetime.combine(on, datetime.time(hour), tzinfo=ZoneInfo("UTC"))


def write_test(tank, days_ago=0, **values):
    units = {name: values.pop(name) for name in list(values) if name.endswith("_as")}
    values = {name: Decimal(str(value)) for name, value in values.items()}
    return record_water_test(tank, tested_at=at(days_ago), now=at(), by=None, **values, **units)


def words(tank, **more):
    return water_fit(tank, TODAY, **more).words


def test_clean_water_within_range_is_fit(pool):
    write_test(pool, 1, **GOOD)
    found = water_fit(pool, TODAY)
    assert found.fit is True
    assert found.words == (
        "Fit: ammonia and nitrite not detectable, 26.5 °C, pH 7; tested yesterday."
    )
    assert found.tested_on == cast.day("2026-03-19")


@pytest.mark.parametrize(
    ("values", "said"),
    [
        (
            {"nitrite_mg_l": 0.1, "nitrite_as": "N"},
            "Not fit: nitrite 0.1 mg/L NO2-N (none may be detectable); tested today.",
        ),
        ({"ammonia_mg_l": 0.25}, "Not fit: ammonia 0.25 mg/L NH4 (none may be detectable)"),
        ({"temperature_c": 23.9}, "Not fit: 23.9 °C (allowed 24 °C to 30 °C)"),
        ({"ph": 7.9}, "Not fit: pH 7.9 (allowed 6 to 7.8)"),
        ({"nitrate_mg_l": 12, "nitrate_as": "N"}, "Not fit: nitrate 12 mg/L NO3-N (allowed at"),
        ({"ph": 5.9, "temperature_c": 31}, "Not fit: 31 °C (allowed 24 °C to 30 °C) and pH 5.9"),
    ],
)
def test_anything_out_of_range_is_not_fit_and_named(pool, values, said):
    write_test(pool, **GOOD | values)
    found = water_fit(pool, TODAY)
    assert found.fit is False
    assert found.words.startswith(said)


def test_the_edges_of_the_range_are_fit(pool):
    write_test(pool, **GOOD | {"temperature_c": 24, "ph": 7.8, "nitrate_mg_l": 50})
    assert water_fit(pool, TODAY).fit is True


def test_without_a_test_of_the_last_days_it_is_not_known(pool):
    assert words(pool) == "Not known: the water has never been tested."
    write_test(pool, 8, **GOOD)
    found = water_fit(pool, TODAY)
    assert found.fit is None
    assert found.words == ("Not known: the last test is 8 days old (12 March 2026); test again.")
    assert water_fit(pool, cast.day("2026-03-11")).words.startswith("Not known: the water has nev")


def test_without_one_of_the_four_readings_it_is_not_known(pool):
    write_test(pool, 2, temperature_c=26, ammonia_mg_l=0)
    assert words(pool) == (
        "Not known: nitrite or pH not tested in the last 7 days; tested 2 days ago."
    )
    write_test(pool, 1, nitrite_mg_l=0, ph=6.8)  # each reading counts from its newest test
    assert water_fit(pool, TODAY).fit is True


@pytest.mark.parametrize(
    ("kind", "own", "days"),
    [("breeding", None, 7), ("nursery", None, 3), ("quarantine", None, 3), ("nursery", 14, 14)],
)
def test_fit_holds_as_long_as_a_test_may_be_old_in_this_tank(kind, own, days):
    tank = Tank.objects.create(name="Brook", kind=kind)
    if own:
        choose_rhythms(tank, {TankRhythm.What.TEST: own})
    write_test(tank, days, **GOOD)
    assert water_fit(tank, TODAY).fit is True
    assert water_fit(tank, TODAY + datetime.timedelta(days=1)).fit is None


def test_where_a_test_may_be_of_any_age_it_stands_for_three_months(pool, owner):
    program = Program(water_test_days=0)
    write_test(pool, 90, **GOOD)
    assert water_fit(pool, TODAY, program=program).fit is True
    assert water_fit(pool, TODAY + datetime.timedelta(days=1), program=program).fit is None


def test_what_is_out_of_range_stands_until_it_is_read_again_and_says_its_day(pool):
    write_test(pool, 60, **GOOD | {"nitrite_mg_l": 0.3})
    assert words(pool) == (
        "Not fit: nitrite 0.3 mg/L NO2 (none may be detectable); tested 60 days ago."
    )
    write_test(pool, 1, temperature_c=31)
    assert words(pool) == (
        "Not fit: 31 °C (allowed 24 °C to 30 °C) and nitrite 0.3 mg/L NO2 (none may be detectable) "
        "on 19 January 2026; tested yesterday."
    )
    write_test(pool, 0, **GOOD)
    assert water_fit(pool, TODAY).fit is True


def test_a_fast_change_of_ph_is_over_once_the_days_of_a_test_have_gone_by(pool):
    write_test(pool, 31, **GOOD)
    write_test(pool, 30, **GOOD | {"ph": 6.2})
    assert words(pool).startswith("Not fit: pH fell from 7 to 6.2 in 1 day")  # the newest there is
    write_test(pool, 1, **GOOD | {"ph": 6.2})
    assert water_fit(pool, TODAY).fit is True


def test_the_newest_reading_counts(pool):
    write_test(pool, 2, **GOOD | {"nitrite_mg_l": 0.3})
    write_test(pool, 0, nitrite_mg_l=0)
    assert water_fit(pool, TODAY).fit is True


def test_a_withdrawn_test_does_not_count(pool):
    test = write_test(pool, **GOOD)
    withdraw(test, by=None, now=at(), reason="another tank's vial")
    assert words(pool) == "Not known: the water has never been tested."


def test_tanks_that_share_water_share_its_tests(pool):
    system = WaterSystem.objects.create(name="Boathouse sump")
    pool.system = system
    pool.save()
    second = Tank.objects.create(name="Second", system=system)
    apart = Tank.objects.create(name="Apart")
    write_test(second, **GOOD)
    assert [water_fit(tank, TODAY).fit for tank in (pool, second, apart)] == [True, True, None]


def test_the_programs_own_range_comes_before_the_default(pool):
    write_test(pool, **GOOD | {"ph": 7.9})
    assert water_fit(pool, TODAY).fit is False
    WaterRange.objects.create(what="ph", least=6.5, most=8.0)
    assert water_fit(pool, TODAY).fit is True


def test_a_day_ends_at_midnight_where_the_program_is(pool):
    """13 March, 10:00 in UTC, is 23:00 of that day in Auckland and 00:00 of it in Honolulu."""
    write_test(pool, 7, **GOOD)
    next_day = TODAY + datetime.timedelta(days=1)
    for zone in ("Pacific/Auckland", "Pacific/Honolulu"):
        with timezone.override(zone):
            assert [water_fit(pool, day).fit for day in (TODAY, next_day)] == [True, None]
    with timezone.override("Pacific/Kiritimati"):  # 14 hours ahead: 14 March, 00:00
        assert water_fit(pool, next_day).fit is True


def test_many_tanks_are_seven_queries(django_assert_num_queries):
    tanks = [Tank.objects.create(name=f"Tank {number}") for number in range(12)]
    for tank in tanks:
        for days in (9, 2, 1):
            write_test(tank, days, **GOOD)
    with django_assert_num_queries(7):  # three of them ask which species live in the program
        assert all(fit.fit for fit in water_fits(tanks, TODAY).values())


def test_a_test_reads_something_and_is_not_of_the_future(pool):
    with pytest.raises(ValidationError, match="at least one reading"):
        record_water_test(pool, tested_at=at(), now=at(), by=None)
    with pytest.raises(ValidationError, match="is still to come"):
        record_water_test(pool, tested_at=at(-1), now=at(), by=None, ph=Decimal("7.0"))
    with pytest.raises(IntegrityError), transaction.atomic():
        WaterTest.objects.create(tank=pool, tested_at=at())
    with pytest.raises(IntegrityError), transaction.atomic():
        WaterTest.objects.create(tank=pool, tested_at=at(), ph=7, nitrite_as="NO2")
