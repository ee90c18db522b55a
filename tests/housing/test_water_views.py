"""The pages of water tests, shared water and what counts as fit."""

import datetime
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from breeding.housing.models import Tank, WaterRange, WaterSystem, WaterTest
from breeding.housing.water.services import choose_range, choose_ranges, record_water_test
from breeding.program import clock
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db
INDEX = reverse("housing:index")
LIMITS = reverse("housing:limits")


@pytest.fixture
def pool(owner):
    return Tank.objects.create(name="Pool")


def page_of(tank):
    return reverse("housing:water_test", args=[tank.pk])


def read(tank, days_ago=0, **values):
    now = clock.now()
    return record_water_test(
        tank, tested_at=now - datetime.timedelta(days=days_ago), now=now, by=None, **values
    )


def test_a_test_is_named_by_the_day_on_the_wall(pool):
    """Eight in the evening of the 1st in London is the 2nd on Kiritimati (UTC+14)."""
    at = datetime.datetime(2026, 3, 1, 20, tzinfo=datetime.UTC)
    test = record_water_test(pool, tested_at=at, now=at, by=None, ph=Decimal("7.0"))
    with timezone.override("Pacific/Kiritimati"):
        assert str(test) == "Pool, water tested on 2026-03-02"


GOOD = {
    "temperature_c": Decimal("26.5"),
    "ph": Decimal("7.0"),
    "ammonia_mg_l": Decimal(0),
    "nitrite_mg_l": Decimal(0),
}


def test_water_test_keeps_what_was_typed_with_its_unit(as_keeper, keeper, pool):
    typed = {
        "temperature_c": "24",
        "ph": "8.0",
        "ammonia_mg_l": "1.0",
        "ammonia_as": "N",
        "nitrite_mg_l": "0",
        "nitrite_as": "ion",
        "nitrate_as": "N",
        "note": "fed an hour before",
    }
    answer = as_keeper.post(page_of(pool), typed, follow=True)
    test = WaterTest.objects.get()
    assert (test.ammonia_mg_l, test.ammonia_as) == (Decimal("1.000"), "N")
    assert (test.nitrite_mg_l, test.nitrate_mg_l) == (0, None)
    assert test.recorded_by == keeper
    page = words(answer)
    assert "Un-ionised ammonia 0.0502 mg/L NH3-N: harm begins above 0.05." in page  # UF/IFAS FA16
    assert "1 mg/L NH4-N" in page
    assert "1.29 mg/L NH4" in page
    assert "aquatic veterinarian" in page
    assert "Not fit: pH 8" in page


def test_water_test_remembers_the_units_of_the_last_one(as_keeper, pool):
    read(pool, 2, nitrite_mg_l=Decimal("0.1"), nitrite_as="N")
    page = words(as_keeper.get(page_of(pool)))
    nitrite = page.split('name="nitrite_as"')[1].split("</select>")[0]
    assert '<option value="N" selected>NO2-N' in nitrite
    assert "nitrite 0.1 mg/L NO2-N" in page
    ammonia = page.split('name="ammonia_as"')[1].split("</select>")[0]
    assert '<option value="ion" selected>NH4, the ion' in ammonia


UNITS = {"ammonia_as": "ion", "nitrite_as": "ion", "nitrate_as": "ion"}


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({}, "Write down at least one reading; 0 is “not detectable”."),
        ({"ph": "15"}, "“15” is not possible for “pH”; allowed is a number from 3 to 11"),
        ({"ph": "0"}, "“0” is not possible for “pH”; allowed is a number from 3 to 11"),
        ({"temperature_c": "60"}, "60 °C is not possible here; allowed is 5 to 40 °C"),
        ({"temperature_c": "0"}, "0 °C is not possible here; allowed is 5 to 40 °C"),
        ({"nitrite_mg_l": "-1"}, "“-1” is not possible for “Nitrite, mg/L”"),
        (
            {"nitrite_mg_l": "1", "nitrite_as": "ppm"},
            "“ppm” is not possible for “read as”; allowed is one of",
        ),
        ({"ph": "7", "tested_at": "2100-01-01T10:00"}, "is still to come"),
        ({"ph": "7", "tested_at": "0001-01-01T00:00"}, "The year 1 is not possible"),
        ({"ph": "seven"}, "“seven” is not possible for “pH”"),
    ],
)
def test_water_test_names_what_is_wrong_and_keeps_what_was_typed(as_keeper, pool, typed, said):
    page = words(as_keeper.post(page_of(pool), UNITS | {"note": "by the door"} | typed))
    assert said in page
    assert "by the door" in page
    assert not WaterTest.objects.exists()


def test_a_test_answers_first_and_leads_to_a_change_of_water_that_is_not_fit(as_keeper, pool):
    sent = {"temperature_c": "27", "ph": "7", "ammonia_mg_l": "0", "nitrite_mg_l": "2.5"}
    page = words(as_keeper.post(page_of(pool), UNITS | sent, follow=True))
    change = f'<a class="act first" href="{reverse("housing:change", args=[pool.pk])}">'
    assert page.index("Water not fit") < page.index(change) < page.index("What was read")
    page = words(as_keeper.post(page_of(pool), UNITS | sent | {"nitrite_mg_l": "0"}, follow=True))
    assert change not in page


def test_a_temperature_that_cannot_be_is_told_in_the_programs_unit(as_keeper, pool):
    """5 and 40 °C are 41 and 104 °F."""
    cast.the_program(temperature_unit="F")
    page = words(as_keeper.post(page_of(pool), UNITS | {"temperature_c": "32"}))
    assert "32 °F is not possible here; allowed is 41 to 104 °F." in page


def test_the_act_refuses_what_cannot_be_by_field(pool):
    with pytest.raises(ValidationError) as problem:
        read(pool, temperature_c=Decimal("0.00"), ph=Decimal("2.9"))
    assert problem.value.message_dict == {
        "temperature_c": [
            "0 °C is not possible in a tank with rays; allowed is 5 to 40 °C. Leave empty what was "
            "not tested."
        ],
        "ph": [
            "2.9 is not possible in a tank with rays; allowed is 3 to 11. Leave empty what was not "
            "tested."
        ],
    }
    read(pool, temperature_c=Decimal(5), ph=Decimal(11))


def test_what_is_unlikely_is_kept_with_a_caution(as_keeper, pool):
    answer = as_keeper.post(
        page_of(pool),
        UNITS | {"temperature_c": "16", "ph": "9.5", "nitrite_mg_l": "12", "nitrate_mg_l": "500"},
        follow=True,
    )
    page = words(answer)
    assert (
        "16 °C is an emergency for a ray, which needs 22 °C to 31 °C (common practice, no source)."
        in page
    )
    assert "16 °C is unlikely" not in page
    assert "pH 9.5 is unlikely; usual is 5 to 9 (EIFAC 1969, Water Research" in page
    assert "12 mg/L NO2 is unlikely; usual is at most 10 mg/L NO2 (common practice" in page
    assert "500 mg/L NO3 is unlikely" not in page
    assert "withdraw this one if it was misread" in page
    assert WaterTest.objects.get().ph == Decimal("9.50")
    usual = read(pool, **GOOD)
    page = words(as_keeper.get(reverse("housing:water", args=[usual.pk])))
    assert "unlikely" not in page
    assert "emergency" not in page
    cool = read(pool, temperature_c=Decimal(18))
    assert "18 °C is an emergency" in words(as_keeper.get(reverse("housing:water", args=[cool.pk])))


def test_a_temperature_is_typed_and_shown_in_the_programs_unit(as_keeper, pool):
    cast.the_program(temperature_unit="F")
    assert "Temperature in °F" in words(as_keeper.get(page_of(pool)))
    answer = as_keeper.post(page_of(pool), UNITS | {"temperature_c": "80"}, follow=True)
    assert WaterTest.objects.get().temperature_c == Decimal("26.67")
    assert "80 °F" in words(answer)


def test_index_says_of_each_tank_whether_its_water_is_fit(as_viewer, pool):
    second, third = (Tank.objects.create(name=name) for name in ("Second", "Third"))
    read(pool, **GOOD)
    read(second, **GOOD | {"nitrite_mg_l": Decimal("0.2")})
    read(third, 9, **GOOD)
    page = words(as_viewer.get(INDEX))
    assert "Water fit: ammonia and nitrite not detectable, 26.5 °C, pH 7; tested today." in page
    assert "Water not fit</span>: nitrite 0.2 mg/L NO2 (none may be detectable); tested" in page
    assert "Water not known</span>: the last test is 9 days old" in page


def test_index_asks_as_often_with_ten_more_tested_tanks(as_keeper, pool):
    read(pool, **GOOD)
    with CaptureQueriesContext(connection) as few:
        as_keeper.get(INDEX)
    for number in range(10):
        system = WaterSystem.objects.create(name=f"Sump {number}")
        read(Tank.objects.create(name=f"Tank {number}", system=system), **GOOD)
    with CaptureQueriesContext(connection) as many:
        as_keeper.get(INDEX)
    assert len(many) == len(few) < 20


def test_detail_asks_as_often_with_ten_more_tests(as_keeper, pool):
    read(pool, **GOOD)
    with CaptureQueriesContext(connection) as few:
        as_keeper.get(pool.get_absolute_url())
    for days in range(10):
        read(pool, days, **GOOD)
    with CaptureQueriesContext(connection) as many:
        as_keeper.get(pool.get_absolute_url())
    assert len(many) == len(few) < 24


def test_detail_shows_whose_water_it_shares(as_keeper, pool):
    answer = as_keeper.post(
        reverse("housing:edit", args=[pool.pk]),
        {"name": "Pool", "kind": "breeding", "new_system": "Boathouse sump"},
        follow=True,
    )
    assert "Shares the water of Boathouse sump" in words(answer)
    second = Tank.objects.create(name="Second", system=WaterSystem.objects.get())
    read(second, **GOOD)
    page = words(as_keeper.get(pool.get_absolute_url()))
    assert f'with <a href="{second.get_absolute_url()}">Second</a>' in page
    assert "Water fit: ammonia" in page
    as_keeper.post(
        reverse("housing:edit", args=[second.pk]),
        {"name": "Second", "kind": "breeding", "new_system": "boathouse SUMP"},
    )
    assert WaterSystem.objects.count() == 1


def test_water_withdraw_keeps_the_test_readable(as_keeper, pool):
    test = read(pool, **GOOD)
    url = reverse("program:withdraw", args=["water-test", test.pk])
    assert "It stays readable" in words(as_keeper.get(url))
    as_keeper.post(url, {"reason": "wrong vial"})
    assert "wrong vial" in words(as_keeper.get(reverse("housing:water", args=[test.pk])))
    assert "withdrawn: wrong vial" in words(as_keeper.get(pool.get_absolute_url()))
    assert "has been withdrawn already" in words(as_keeper.post(url, {"reason": "again"}))


def test_water_says_what_is_missing_and_of_nitrate(as_viewer, pool):
    test = read(pool, ammonia_mg_l=Decimal("0.5"), nitrate_mg_l=Decimal(12), nitrate_as="N")
    page = words(as_viewer.get(reverse("housing:water", args=[test.pk])))
    assert "not known without temperature and pH in the same test" in page
    assert "Nitrate 53 mg/L NO3: aim under 20, never above 50" in page  # 12 x 4.427
    assert "Withdraw this one" not in page


def test_limits_are_the_programs_own_and_fall_back_to_the_default(as_owner, pool):
    read(pool, **GOOD | {"ph": Decimal("7.8")})
    page = words(as_owner.get(LIMITS))
    assert "Default: common practice, no source; the aim is 26 to 28 °C." in page
    typed = {
        "temperature_least": "24",
        "temperature_most": "30",
        "ph_least": "6.5",
        "ph_most": "8",
        "ammonia_most": "0",
        "nitrite_most": "0",
        "nitrate_most": "50",
    }
    as_owner.post(LIMITS, typed)
    assert [(row.what, row.least, row.most) for row in WaterRange.objects.all()] == [
        ("ph", 6.5, 8.0)
    ]
    assert "Water fit: ammonia" in words(as_owner.get(INDEX))
    wrong = words(as_owner.post(LIMITS, typed | {"ph_least": "9"}))
    assert "The most cannot be less than the least." in wrong
    as_owner.post(LIMITS, typed | {"ph_least": "", "ph_most": ""})
    assert not WaterRange.objects.exists()


def test_limits_are_kept_all_or_none(owner):
    choose_range("ph", least=6.0, most=7.0)
    with pytest.raises(ValidationError) as problem:
        choose_ranges({"ph": None, "temperature": (25.0, 29.0), "nitrate": (30.0, 20.0)})
    assert set(problem.value.message_dict) == {"nitrate_most"}
    assert [(row.what, row.least, row.most) for row in WaterRange.objects.all()] == [
        ("ph", 6.0, 7.0)
    ]
    choose_ranges({"ph": None, "temperature": (25.0, 29.0)})
    assert [(row.what, row.least, row.most) for row in WaterRange.objects.all()] == [
        ("temperature", 25.0, 29.0)
    ]


def test_limits_that_cannot_be_are_refused(as_owner):
    page = words(as_owner.post(LIMITS, {"ph_least": "0", "temperature_least": "1"}))
    assert "“0” is not possible for “pH, at least”; allowed is a number from 3 to 11" in page
    assert "1 °C is not possible here; allowed is 5 to 40 °C." in page
    assert not WaterRange.objects.exists()


def test_limits_are_in_the_programs_unit(as_owner):
    cast.the_program(temperature_unit="F")
    page = words(as_owner.get(LIMITS))
    assert 'value="75.2"' in page
    assert 'value="86"' in page


def test_who_may_write_about_water(as_viewer, as_keeper, stranger, pool):
    test = read(pool, **GOOD)
    page = reverse("housing:water", args=[test.pk])
    drop = reverse("program:withdraw", args=["water-test", test.pk])
    assert as_viewer.get(page).status_code == 200
    for url in (page_of(pool), drop):
        assert as_viewer.get(url).status_code == 403
        assert as_viewer.post(url, {"ph": "7"}).status_code == 403
    assert as_keeper.get(LIMITS).status_code == 403
    for url in (page, drop, page_of(pool), LIMITS):
        assert stranger.get(url).status_code == 302
    assert WaterTest.objects.count() == 1
