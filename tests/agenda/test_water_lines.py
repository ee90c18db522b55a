"""Water on the day: not fit where animals are, nitrite in quarantine, tests that are overdue."""

import datetime
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.agenda.queries import the_day
from breeding.agenda.services import answer_line
from breeding.animals.services import change_state
from breeding.housing.models import Tank, WaterRange, WaterTest
from breeding.housing.services import move_animal
from breeding.housing.water.watched import watched_tanks
from breeding.program import clock
from tests import cast
from tests.cast import ago, words

pytestmark = pytest.mark.django_db
WATER = ("water_harms", "water_unfit", "nitrite_in_quarantine", "water_test_closely", "water_test")


def lines(days_ahead=0, **settings):
    found = the_day(cast.the_program(**settings), today=ago(-days_ahead)).lines
    return [one for one in found if one.kind.key in WATER]


def said(days_ahead=0, **settings):
    return [(one.kind.key, one.who) for one in lines(days_ahead, **settings)]


def tank(name, *animals, kind="breeding", since=30, **facts):
    made = Tank.objects.create(name=name, kind=kind, **facts)
    for animal in animals:
        move_animal(animal, made, on=ago(since), by=None)
    return made


def reading(tank, days=0, **values):
    usual = {"temperature_c": "27", "ph": "7", "ammonia_mg_l": "0", "nitrite_mg_l": "0"}
    found = {name: Decimal(value) for name, value in (usual | values).items()}
    at = clock.now() - datetime.timedelta(days=days)
    return WaterTest.objects.create(tank=tank, tested_at=at, **found)


@pytest.fixture
def mira(owner):
    return cast.female("Mira")


def test_water_that_is_not_fit_stands_until_a_test_is(mira):
    north = tank("North", mira)
    reading(north, 5, ammonia_mg_l="1")
    (line,) = lines()
    assert (line.kind.key, line.urgency) == ("water_unfit", "now")
    assert "ammonia 1 mg/L" in line.why
    assert "In it: Mira. Change water" in line.why
    reading(north, 0)
    assert lines() == []


@pytest.mark.parametrize(
    ("values", "first"),
    [
        ({"temperature_c": "21.5"}, "21.5 °C is an emergency for a ray, which needs 22 °C to 31"),
        (
            {"ammonia_mg_l": "1.3", "ph": "8"},
            "Un-ionised ammonia 0.0618 mg/L NH3-N: harm begins above 0.05. Change water",
        ),
    ],
)
def test_water_that_harms_already_is_said_first_and_stands_above_all(mira, values, first):
    north = tank("North", mira, kind="quarantine")
    reading(north, 1, nitrite_mg_l="0.2", **values)
    (line,) = lines()
    assert (line.kind.key, line.kind.rank, line.urgency) == ("water_harms", 0, "now")
    assert line.why.startswith(first)
    assert "Not fit: " in line.why
    reading(north, 0, nitrite_mg_l="0.2")
    assert said() == [("nitrite_in_quarantine", "North")]


def test_water_in_which_nobody_is_asks_for_nothing(mira):
    north = tank("North", mira)
    reading(north, 5, ammonia_mg_l="1")
    change_state(mira, state="left", on=ago(1))
    assert lines() == []


@pytest.mark.parametrize(
    ("kind", "fresh", "overdue"), [("nursery", 2, 3), ("quarantine", 2, 3), ("breeding", 6, 7)]
)
def test_how_old_a_test_may_be_goes_by_the_tank(mira, kind, fresh, overdue):
    north = tank("North", mira, kind=kind)
    reading(north, 0)
    assert said(fresh) == []
    name = "water_test" if kind == "breeding" else "water_test_closely"
    assert said(overdue) == [(name, "North")]


def test_the_rhythm_is_a_setting_and_none_asks_never(mira):
    reading(tank("North", mira), 0)
    assert said(20, water_test_days=21) == []
    assert said(21, water_test_days=21) == [("water_test", "North")]
    assert said(300, water_test_days=0) == []


def test_a_tank_never_tested_is_asked_about_from_when_somebody_came(mira):
    tank("North", mira, kind="quarantine", since=3)
    (line,) = lines()
    assert "North: never tested on record; here a test may be 3 days old at most." in line.why


def test_other_tanks_are_one_line(mira):
    for number in range(3):
        reading(tank(f"T{number}", cast.female(f"Star {number}")), 9 + number)
    (line,) = lines()
    assert line.who == "T2 and 2 more"
    assert "In all: T0, T1 and T2." in line.why


def test_nitrite_in_quarantine_is_said_whatever_the_own_range_allows(mira):
    WaterRange.objects.create(what="nitrite", least=None, most=0.5, source="own book")
    for kind in ("quarantine", "breeding"):
        made = tank(kind.title(), cast.female(kind), kind=kind)
        reading(made, 0, nitrite_mg_l="0.2")
    assert said() == [("nitrite_in_quarantine", "Quarantine")]
    reading(Tank.objects.get(name="Quarantine"), 0)
    assert said() == []


def test_a_new_test_that_is_not_fit_is_asked_about_anew(mira):
    north = tank("North", mira)
    reading(north, 2, ammonia_mg_l="1")
    answer_line(lines()[0].key, by=None, today=clock.today())
    assert lines() == []
    reading(north, 0, ammonia_mg_l="0.5")
    assert said() == [("water_unfit", "North")]


def test_the_line_leads_to_the_tank_and_to_the_test(as_keeper, mira):
    north = tank("North", mira)
    reading(north, 0, ammonia_mg_l="1")
    page = words(as_keeper.get(reverse("agenda:day")))
    assert '<b class="who">North</b> <i>the water is not fit</i>' in page
    assert f'<a href="{north.get_absolute_url()}" aria-label="Open the page of North">' in page
    assert reverse("housing:water_test", args=[north.pk]) in page


def test_the_questions_do_not_grow_with_the_tanks(mira):
    program = cast.the_program()

    def questions():
        with CaptureQueriesContext(connection) as asked:
            watched_tanks(program, asof=clock.today())
        return len(asked)

    reading(tank("North", mira), 0)
    few = questions()
    for number in range(5):
        reading(tank(f"T{number}", cast.female(f"Star {number}")), number)
    assert questions() == few == 11  # four of them ask which species live there, for its figures
