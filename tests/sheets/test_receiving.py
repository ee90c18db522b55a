"""What a sheet says on the journey, the water, and the age of portraits."""

import datetime
from decimal import Decimal

import pytest

from breeding.animals.models import Photograph
from breeding.animals.species.profiles import Figures
from breeding.housing.models import Stay, Tank, WaterTest
from breeding.sheets.contents.portraits import caption
from breeding.sheets.contents.receiving import (
    MOST_HOURS,
    arrival_words,
    first_weeks_words,
    water_words,
)
from tests import cast

pytestmark = pytest.mark.one_database("how facts become words")

ON = cast.day("2026-11-25")


# ------------------------------------------------------------------------------------ the journey


@pytest.mark.parametrize("hours", [0, 1, 4, 11])
def test_after_a_short_journey_the_tanks_water_is_let_in_slowly(hours):
    words = arrival_words(hours)
    assert "slow drops" in words
    assert "do not drip" not in words
    assert words.startswith(f"About {hours} hour")


@pytest.mark.parametrize("hours", [12, 24, 36, 48])
def test_after_a_long_journey_nothing_is_dripped(hours):
    words = arrival_words(hours)
    assert "do not drip: once the temperatures match, move the animal straight over" in words
    assert "slow drops" not in words


@pytest.mark.parametrize(("hours", "is_said"), [(36, False), (37, True)])
def test_beyond_36_hours_its_oxygen_must_be_renewed(hours, is_said):
    """CITES guidance on packing live fish: at most 36 hours without renewing the oxygen."""
    assert ("oxygen must be renewed" in arrival_words(hours)) is is_said


@pytest.mark.parametrize("hours", [None, 3, 30])
def test_arrival_advice_says_the_same_steps_whatever_the_journey(hours):
    words = arrival_words(hours)
    steps = (
        "Float the closed bag until its temperature matches the tank's.",
        "Open it into a tub, not into the tank.",
        "Move it in a container filled under water, never by hand.",
        "Pour the bag's water away; none of it goes into the tank.",
    )
    assert [words.count(step) for step in steps] == [1, 1, 1, 1]
    assert sorted(steps, key=words.index) == list(steps)


def test_without_a_known_journey_both_ways_are_said_each_with_when_it_holds():
    assert arrival_words(None) == (
        "Float the closed bag until its temperature matches the tank's. Open it into a tub, not "
        "into the tank. After less than half a day in the bag let the tank's water into the tub "
        "by slow drops, then move the animal over. After half a day or more in the bag do not "
        "drip: once the temperatures match, move the animal straight over. Move it in a container "
        "filled under water, never by hand. Pour the bag's water away; none of it goes into the "
        "tank. Keep the light low; it may refuse food for the first days: offer soft food with a "
        "strong smell first, pellets later."
    )


def test_a_journey_of_four_days_is_the_longest_that_is_asked_for():
    assert MOST_HOURS == 4 * 24


def test_the_first_weeks_are_about_food_and_water():
    assert "ammonia and nitrite daily" in first_weeks_words()


# -------------------------------------------------------------------------------------- the water


@pytest.fixture
def housed(owner):
    lyra = cast.female("Lyra")
    tank = Tank.objects.create(name="Long tank")
    Stay.objects.create(animal=lyra, tank=tank, since=cast.day("2026-10-01"))
    return lyra, tank


def water_read(tank, day, **values):
    at = datetime.datetime.fromisoformat(f"{day}T09:00:00+00:00")
    return WaterTest.objects.create(tank=tank, tested_at=at, **values)


@pytest.mark.django_db
def test_the_latest_test_of_its_tank_stands_on_the_sheet(housed):
    lyra, tank = housed
    water_read(tank, "2026-11-01", ph=Decimal("7.4"))
    water_read(
        tank,
        "2026-11-20",
        temperature_c=Decimal("27.0"),
        ph=Decimal("6.8"),
        ammonia_mg_l=0,
        nitrite_mg_l=0,
        nitrate_mg_l=Decimal("12"),
    )
    water_read(tank, "2026-11-26", ph=Decimal("5.0"))  # after the sheet
    assert water_words(lyra, cast.the_program(), on=ON) == (
        "27.0 °C, pH 6.8, nitrate 12 mg/L as the ion, total ammonia and nitrite not detectable; "
        "its tank, tested on 20 November 2026"
    )
    warm = water_words(lyra, cast.the_program(temperature_unit="F"), on=ON)
    assert warm.startswith("80.6 °F, ")  # 27 x 9 / 5 + 32
    assert "Long tank" not in warm


@pytest.mark.django_db
def test_no_tank_or_no_test_or_a_withdrawn_one_is_no_water(housed):
    lyra, tank = housed
    assert water_words(lyra, cast.the_program(), on=ON) == ""
    test = water_read(tank, "2026-11-20", ph=Decimal("6.8"))
    WaterTest.objects.filter(pk=test.pk).update(
        withdrawn_at=test.tested_at, withdrawn_reason="another tank"
    )
    assert water_words(lyra, cast.the_program(), on=ON) == ""
    assert water_words(cast.female("Vega"), cast.the_program(), on=ON) == ""


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"temperature_c": 0}, "0.0 °C"),
        ({"ph": Decimal("6.8")}, "pH 6.8"),
        ({"nitrite_mg_l": 0}, "nitrite not detectable"),
        ({"ammonia_mg_l": Decimal("0.5")}, "total ammonia 0.5 mg/L as the ion"),
        ({"nitrate_mg_l": 1, "nitrate_as": "N"}, "nitrate 1 mg/L as nitrogen (N)"),
        (
            {"ammonia_mg_l": 0, "nitrite_mg_l": 1, "nitrate_mg_l": 0},
            "nitrite 1 mg/L as the ion, total ammonia and nitrate not detectable",
        ),
    ],
)
def test_only_what_was_read_is_said(housed, values, said):
    lyra, tank = housed
    water_read(tank, "2026-11-25", **values)  # the day of the sheet counts
    assert water_words(lyra, cast.the_program(), on=ON) == (
        f"{said}; its tank, tested on 25 November 2026"
    )


@pytest.mark.django_db
def test_a_degree_fahrenheit_is_five_ninths_of_one_celsius_and_counted_from_32(housed):
    lyra, tank = housed
    water_read(tank, "2026-11-20", temperature_c=25)
    warm = water_words(lyra, cast.the_program(temperature_unit="F"), on=ON)
    assert warm.startswith("77.0 °F; ")


@pytest.mark.django_db
def test_the_water_is_that_of_the_tank_it_is_in_now(housed):
    lyra, before = housed
    now = Tank.objects.create(name="Short tank")
    water_read(before, "2026-11-20", ph=Decimal("6.0"))
    water_read(now, "2026-11-10", ph=Decimal("7.0"))
    Stay.objects.filter(animal=lyra).update(until=cast.day("2026-11-05"))
    assert water_words(lyra, cast.the_program(), on=ON) == ""
    Stay.objects.create(animal=lyra, tank=now, since=cast.day("2026-11-05"))
    assert water_words(lyra, cast.the_program(), on=ON).startswith("pH 7.0; ")


# ---------------------------------------------------------------------------------- the portraits


def captioned(taken, born=None, figures=None, **more):
    animal = cast.Animal(code="X", born_on=born and cast.day(born))
    photograph = Photograph(taken_on=taken and cast.day(taken), **more)
    return caption(photograph, animal, Figures("any", figures or {}), ON)


def test_a_portrait_is_dated_and_one_over_a_year_old_is_said_to_be_old():
    assert captioned("2025-11-25") == "photograph, 25 Nov 2025"
    assert captioned("2025-11-24") == (
        "photograph, 24 Nov 2025, 12 months old: may look different now"
    )
    assert captioned("2020-01-01", is_drawing=True) == (
        "drawing, 1 Jan 2020, 7 years old: may look different now"
    )


def test_the_portrait_of_a_young_animal_is_old_after_two_months():
    assert captioned("2026-09-26", born="2026-08-01") == "photograph, 26 Sep 2026"
    assert captioned("2026-09-25", born="2026-08-01").endswith(
        "2 months old: may look different now"
    )


def test_the_figures_of_the_species_decide_when_a_portrait_is_old():
    words = captioned("2026-10-01", figures={"portrait_fresh_days": 30})
    assert words.endswith("55 days old: may look different now")


def test_a_portrait_without_a_date_says_so():
    assert captioned(None) == "photograph, date not recorded"
