"""Water under matings and births: what was hers, drawn, with no claim."""

import datetime
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from breeding.housing.models import Tank, WaterChange, WaterTest
from breeding.housing.services import move_animal
from breeding.pairings.models import Outcome
from breeding.pairings.seasonal.waters import around, matings, strips_of
from breeding.program import clock
from tests import cast
from tests.cast import ago, see, words

pytestmark = pytest.mark.django_db
PAGE = reverse("pairings:seasonal")


def that_hour(days):
    """This hour by the clock on the wall, so many days ago: summer time may lie between."""
    return timezone.localtime(clock.now()) - datetime.timedelta(days=days)


def read(tank, days, temperature, conductivity):
    at = that_hour(days)
    values = {"temperature_c": Decimal(temperature), "conductivity_us_cm": Decimal(conductivity)}
    WaterTest.objects.create(tank=tank, tested_at=at, **values)


@pytest.fixture
def mira(owner):
    """Mira, who moved from Bay to Pool 60 days ago and was mated 40 days ago."""
    bay, pool = (Tank.objects.create(name=name) for name in ("Bay", "Pool"))
    mira = cast.female("Mira")
    move_animal(mira, bay, on=ago(200), by=None)
    move_animal(mira, pool, on=ago(60), by=None)
    read(bay, 90, 26, 420)
    read(bay, 50, 31, 999)  # she was there no more
    read(pool, 45, 28, 260)
    read(pool, 20, 27, 300)
    WaterChange.objects.create(tank=pool, changed_at=that_hour(44), percent=40)
    see(mira, 40)
    return mira


def test_only_water_she_was_in_counts(mira):
    ((female, on),) = matings()
    (strip,) = strips_of([around(female, on, clock.today())], cast.the_program())
    assert [value for _, value in strip.readings.points["conductivity"]] == [420, 260, 300]
    assert strip.tanks == ["Bay", "Pool"]
    assert [(mark.kind, mark.on) for mark in strip.marks] == [
        ("change", ago(44)),
        ("in", ago(40)),
    ]


def test_the_page_says_before_and_after_and_that_it_proves_nothing(as_viewer, mira):
    shown = words(as_viewer.get(PAGE))
    assert "and proves nothing" in shown
    assert "Mira, mating seen on" in shown
    assert (
        "Conductivity: 260 µS/cm to 420 µS/cm in 2 readings until that day; 300 µS/cm in 1 reading "
        "after it."
    ) in shown
    assert shown.count('class="plot"') == 2


def test_her_own_page_marks_her_births(as_viewer, mira):
    Outcome.objects.create(female=mira, on=ago(100), kind="live_birth")
    shown = words(as_viewer.get(reverse("pairings:her_water", args=[mira.pk])))
    assert "live birth." in shown
    assert "and proves nothing" in shown
    male = cast.male()
    assert as_viewer.get(reverse("pairings:her_water", args=[male.pk])).status_code == 404


def test_without_a_mating_the_page_says_so(as_viewer, owner):
    assert "No mating that was seen is on record" in words(as_viewer.get(PAGE))
    assert as_viewer.get(f"{PAGE}?before=soon").status_code == 200


def test_more_matings_cost_no_more_questions(as_viewer, mira):
    def questions():
        with CaptureQueriesContext(connection) as asked:
            as_viewer.get(PAGE)
        return len(asked)

    before = questions()
    for number in range(8):
        see(mira, 60 + 20 * number)
    assert questions() == before < 20
    assert "Earlier matings" in words(as_viewer.get(PAGE))
