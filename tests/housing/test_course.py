"""A tank's water over time: bounded, with its limits and what happened, the same in words."""

import datetime
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.health.models import Treatment
from breeding.housing.course.readings import MOST_DRAWN, MOST_READ, thinned
from breeding.housing.models import Tank, TankRhythm, TankWork, WaterChange, WaterSource, WaterTest
from breeding.housing.services import move_animal
from breeding.program import clock
from tests import cast
from tests.cast import ago, words

pytestmark = pytest.mark.django_db


@pytest.fixture
def pool(owner):
    return Tank.objects.create(name="Pool", volume_litres=800)


def page(tank):
    return reverse("housing:course", args=[tank.pk])


def write_tests(tank, count, *, every_hours=24.0):
    """So many tests, the newest an hour ago."""
    now = clock.now() - datetime.timedelta(hours=1)
    WaterTest.objects.bulk_create(
        WaterTest(
            tank=tank,
            tested_at=now - datetime.timedelta(hours=every_hours * number),
            temperature_c=Decimal(26) + number % 3,
            ph=Decimal("7.1"),
            ammonia_mg_l=0,
            nitrite_mg_l=0,
            nitrate_mg_l=number % 60,
            conductivity_us_cm=400,
            kh_dh=4,
        )
        for number in range(count)
    )


def changes_of(tank, count):
    now, rain = clock.now(), WaterSource.objects.get_or_create(name="Rain")[0]
    WaterChange.objects.bulk_create(
        WaterChange(
            tank=tank,
            changed_at=now - datetime.timedelta(hours=5 * number + 1),
            percent=30,
            source=rain,
        )
        for number in range(count)
    )


def test_readings_limits_and_what_happened_are_drawn_and_said(as_viewer, pool):
    write_tests(pool, 5)
    mira = cast.female("Mira")
    move_animal(mira, pool, on=ago(4), by=None)
    changes_of(pool, 1)
    TankWork.objects.create(tank=pool, kind="filter", on=ago(2))
    Treatment.objects.create(tank=pool, remedy="Salt", since=ago(3), until=ago(1))
    shown = words(as_viewer.get(page(pool)))
    for sentence in (
        "Temperature: 27 °C on",
        "None outside of what counts as fit.",
        "Mira came in.",
        "water changed, 30 % (about 240 litres), with Rain.",
        "filter rinsed.",
        "treated with Salt.",
    ):
        assert sentence in shown
    assert shown.count('class="plot"') == 7
    assert "plot-limit" in shown


def test_without_tests_it_says_so(as_viewer, pool):
    assert "No test of these days is on record" in words(as_viewer.get(page(pool)))


@pytest.mark.parametrize("asked", ["days=7e9", "until=soon", "until=0001-01-01", "days=&until="])
def test_an_address_that_asks_nonsense_is_answered(as_viewer, pool, asked):
    assert as_viewer.get(f"{page(pool)}?{asked}").status_code == 200


def test_of_very_many_tests_the_newest_are_read_and_few_points_drawn(as_viewer, pool):
    write_tests(pool, MOST_READ + 200, every_hours=2)
    shown = words(as_viewer.get(page(pool)))
    assert f"Only the newest {MOST_READ} tests of these days are drawn" in shown
    drawing = shown.split("course-temperature-title", 1)[1].split("</svg>", 1)[0]
    assert 100 < drawing.count('class="plot-line-a-mark"') <= MOST_DRAWN


def test_thinning_keeps_what_sticks_out():
    start = datetime.datetime(2026, 3, 1)
    points = [(start + datetime.timedelta(hours=n), 27.0) for n in range(2000)]
    points[777] = (points[777][0], 33.0)
    kept = thinned(points)
    assert len(kept) <= MOST_DRAWN
    assert points[777] in kept
    assert kept == sorted(kept)


PAGES = ("housing:waters", "housing:changes", "housing:tanks", "housing:index", "agenda:day")


def test_ten_times_the_tests_and_changes_cost_no_more_questions(as_owner, pool):
    move_animal(cast.female("Mira"), pool, on=ago(400), by=None)
    TankRhythm.objects.create(tank=pool, what="change", every_days=1)
    addresses = [reverse(name) for name in PAGES]
    addresses += [page(pool), pool.get_absolute_url(), reverse("housing:change", args=[pool.pk])]

    def questions():
        found = {}
        for address in addresses:
            with CaptureQueriesContext(connection) as asked:
                assert as_owner.get(address).status_code == 200
            read = [one["sql"] for one in asked if "watertest" in one["sql"]]
            found[address] = len(asked), len(read)
        return found

    write_tests(pool, 150)
    changes_of(pool, 150)
    questions()  # the first visit reads what is kept for later ones
    few = questions()
    write_tests(pool, 1500, every_hours=26)
    changes_of(pool, 1500)
    assert questions() == few
    for drawn_by_many_rooms in (reverse("agenda:day"), pool.get_absolute_url()):
        few.pop(drawn_by_many_rooms)
    assert {address: count for address, (count, _) in few.items() if count >= 20} == {}


def test_the_page_of_a_course_reads_no_more_rows_than_it_may(as_owner, pool):
    write_tests(pool, 2 * MOST_READ, every_hours=1)
    with CaptureQueriesContext(connection) as asked:
        as_owner.get(page(pool))
    read = [one["sql"] for one in asked if 'FROM "housing_watertest"' in one["sql"]]
    assert read
    assert all("LIMIT" in sql for sql in read)
