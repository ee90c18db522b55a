"""What is said of a source water before it is poured into a tank, and of little KH."""

import datetime

import pytest

from breeding.housing.water.fit import Reading
from breeding.housing.water.kh import little_kh_words
from breeding.housing.water.queries import mixing_rules
from breeding.housing.work.mixing import Poured, chlorine_words, differing_words

pytestmark = [pytest.mark.django_db, pytest.mark.one_database("figures of a file become words")]
TODAY = datetime.date(2026, 11, 20)


def tank(**values):
    return {what: Reading(what, value, TODAY) for what, value in values.items()}


def said(poured, **values):
    return list(differing_words(poured, tank(**values), mixing_rules()[0], asof=TODAY))


def test_a_ph_more_than_a_days_change_apart_is_said_with_both_figures():
    (words,) = said(Poured("Mains", 0.1, ph=7.5), ph=7.1)
    assert words.startswith("Mains has pH 7.5, the tank had 7.1 (today): 0.4 apart")
    assert "0.3 a day" in words
    assert said(Poured("Mains", 0.5, ph=7.4), ph=7.1) == []


def test_warmth_mixes_by_its_share():
    cold = {"temperature_c": 20.0}
    (words,) = said(Poured("Mains", 0.5, **cold), temperature=27)
    assert "from 27 °C to about 23.5 °C at once" in words
    assert said(Poured("Mains", 0.2, **cold), temperature=27) == []  # 1.4 °C


def test_conductivity_is_held_against_a_quarter_at_once():
    (words,) = said(Poured("Rain", 0.5, conductivity_us_cm=20.0), conductivity=400)
    assert "from 400 to about 210 µS/cm at once" in words
    assert said(Poured("Rain", 0.2, conductivity_us_cm=20.0), conductivity=400) == []


def test_what_is_not_known_is_not_held_against_anything():
    assert said(Poured("Rain", None), ph=7, temperature=27, conductivity=400) == []
    assert said(Poured("Rain", None, ph=5.0, temperature_c=5.0, conductivity_us_cm=5.0)) == []


def test_tap_water_that_nothing_says_is_dechlorinated_is_named():
    assert "dechlorinated before it touches rays" in chlorine_words(
        Poured("Mains", 0.3, is_raw_tap=True), "rays"
    )
    assert chlorine_words(Poured("Mains", 0.3), "rays") == ""


@pytest.mark.parametrize(
    ("kh", "before", "now", "is_said"),
    [(1, 7.0, 6.6, True), (3, 7.0, 6.6, False), (1, 7.0, 6.8, False), (1, 6.6, 7.0, False)],
)
def test_little_kh_and_a_falling_ph_are_worth_a_word_together(kh, before, now, is_said):
    earlier = TODAY - datetime.timedelta(days=9)
    readings = [
        *(Reading("ph", now, TODAY), Reading("kh", kh, TODAY)),
        Reading("ph", before, earlier),
    ]
    words = little_kh_words(readings, since=earlier, most_dh=2, fell=0.3)
    assert ("fell from 7 on 11 November 2026 to 6.6" in words) == is_said
