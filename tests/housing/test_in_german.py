"""Tanks and their water, for who reads German."""

import datetime
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import translation

from breeding.housing.models import Tank, TankRhythm
from breeding.housing.services import move_animal
from breeding.housing.sizes import volume_words
from breeding.housing.water.fit import Reading, judge, unionised_words, value_words
from breeding.housing.water.services import record_water_test
from breeding.program import clock
from breeding.words.language import remembering, say_again
from tests import cast

pytestmark = [pytest.mark.django_db, pytest.mark.one_database("how facts become words")]


@pytest.fixture
def in_german(as_keeper):
    as_keeper.defaults["HTTP_ACCEPT_LANGUAGE"] = "de"
    return as_keeper


@pytest.fixture
def pool(owner):
    found = Tank.objects.create(name="Pool", volume_litres=1800, length_mm=2000, width_mm=1000)
    for name in ("Mira", "Vega"):
        move_animal(cast.female(name), found, on=cast.ago(12), by=owner)
    now = clock.now()
    record_water_test(
        found,
        tested_at=now - datetime.timedelta(hours=2),
        now=now,
        by=owner,
        temperature_c=Decimal("26.5"),
        ph=Decimal("7.2"),
        ammonia_mg_l=Decimal(0),
        nitrite_mg_l=Decimal("0.25"),
    )
    return found


def test_figures_have_a_comma_and_thousands_a_point():
    with translation.override("de"):
        assert volume_words(1800, "l") == "1.800 Liter"
        assert (
            value_words(Reading("nitrite", 0.25, cast.day("2026-03-01"), "ion")) == "0,25 mg/L NO2"
        )
        said = unionised_words(1.0, 24, 8.0, cautious_mg_l=0.02, harm_mg_l=0.05)
    assert said == (
        "Freies Ammoniak 0,0502 mg/L NH3-N: Schaden beginnt über 0,05. Wechsle Wasser und suche "
        "die Ursache."
    )


def test_all_of_a_verdict_is_said_again_in_german():
    day, before = cast.day("2026-03-20"), cast.day("2026-03-18")
    newest = {what: Reading(what, 0, before, "ion") for what in ("ammonia", "nitrite")}
    newest |= {"ph": Reading("ph", 7, day), "temperature": Reading("temperature", 27, day)}
    with remembering():  # as within an act, whose receipt is kept
        words = judge(newest, {}, asof=day, days=3, last_on=day).words
    assert words.startswith("Fit: ammonia and nitrite not detectable, ")
    with translation.override("de"):
        assert say_again(words) == (
            "Geeignet: Ammoniak und Nitrit nicht nachweisbar, 27 °C, pH 7; getestet heute. Dabei "
            "nicht gemessen: Ammoniak und Nitrit, zuletzt vor 2 Tagen."
        )


def test_a_tanks_page_is_german(in_german, pool):
    page = cast.words(in_german.get(pool.get_absolute_url()))
    assert "Zucht, 200 × 100 × ? cm, 1.800 Liter" in page
    assert "Wasser nicht geeignet</span>: Nitrit 0,25 mg/L NO2 (nichts darf" in page
    assert "Temperatur 26,5 °C, pH 7,2, Ammoniak nicht nachweisbar, Nitrit 0,25 mg/L NO2" in page
    assert "Nach allen gesehen, nichts zu bemerken" in page


def test_one_tank_and_two_are_counted_in_german(in_german, pool):
    house = cast.words(in_german.get(reverse("housing:house")))
    assert "1 Becken mit 2 Tieren: nach Becken, Wasser und Platz" in house
    assert "In einem Becken ist jetzt etwas zu tun:</span> Pool." in house


def test_an_error_beside_a_field_is_german(in_german, pool):
    address = reverse("housing:water_test", args=[pool.pk])
    answer = in_german.post(address, {"temperature_c": "99,5"})
    assert "99,5 °C ist hier nicht möglich; erlaubt ist 5 bis 40 °C." in cast.words(answer)


def test_a_plot_has_its_axis_and_its_words_in_german(in_german, pool):
    page = cast.words(in_german.get(reverse("housing:course", args=[pool.pk])))
    assert "Das Wasser von Pool" in page
    assert "Nitrit: 0,25 mg/L NO2 am " in page
    assert "1 von 1 außerhalb dessen, was als geeignet gilt." in page


def test_a_rhythm_of_one_day_and_of_seven(in_german, pool):
    TankRhythm.objects.create(tank=pool, what="change", every_days=7)
    TankRhythm.objects.create(tank=pool, what="filter", every_days=1)
    page = cast.words(in_german.get(pool.get_absolute_url()))
    assert "Wasserwechsel alle 7 Tage; Filterpflege jeden Tag." in page
