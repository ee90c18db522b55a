"""Whether water is fit, from readings alone: each sentence a known answer."""

import pytest

from breeding.housing.water.fit import (
    Range,
    Reading,
    as_ion,
    as_nitrogen,
    judge,
    temperature_words,
    unit_words,
    unlikely_words,
)
from tests import cast

TODAY = cast.day("2026-03-20")
RANGES = {
    "temperature": Range("temperature", 24, 30, "common practice"),
    "ph": Range("ph", 6.5, 7.5, "common practice"),
    "ammonia": Range("ammonia", None, 0, "common practice"),
    "nitrite": Range("nitrite", None, 0, "common practice"),
    "nitrate": Range("nitrate", None, 50, "common practice"),
}
GOOD = {"temperature": 26.5, "ph": 7, "ammonia": 0, "nitrite": 0}


def read(values, on="2026-03-19", read_as="ion"):
    with_unit = ("ammonia", "nitrite", "nitrate")
    return {
        what: Reading(what, value, cast.day(on), read_as if what in with_unit else "")
        for what, value in values.items()
    }


def judged(newest, ranges=RANGES, last_on="2026-03-19", **more):
    last_on = last_on and cast.day(last_on)
    return judge(newest, ranges, asof=TODAY, days=3, last_on=last_on, **more)


# --------------------------------------------------------------------------------- the verdict


def test_good_readings_are_fit():
    found = judged(read(GOOD))
    assert (found.fit, found.verdict, found.tested_on) == (True, "fit", cast.day("2026-03-19"))
    assert found.because == "ammonia and nitrite not detectable, 26.5 °C, pH 7; tested yesterday."
    assert judged(read(GOOD), temperature_unit="F").because == (
        "ammonia and nitrite not detectable, 79.7 °F, pH 7; tested yesterday."
    )


def test_traces_that_are_allowed_are_within_the_limits():
    ranges = RANGES | {what: Range(what, None, 0.25, "own") for what in ("ammonia", "nitrite")}
    for traces in ({"nitrite": 0.1}, {"ammonia": 0.1}, {"nitrite": 0.1, "ammonia": 0.1}):
        found = judged(read(GOOD | traces), ranges)
        assert found.because.startswith("ammonia and nitrite within your limits, ")


def test_what_has_no_range_is_not_judged():
    del (ranges := dict(RANGES))["ph"]
    assert judged(read(GOOD | {"ph": 9.5}), ranges).fit is True


def test_the_newest_day_of_the_readings_is_the_day_of_the_test():
    readings = read(GOOD, "2026-03-18") | read({"ph": 7.1}, "2026-03-20")
    assert "pH 7.1; tested today." in judged(readings).words


def test_what_the_newest_test_left_out_is_said_with_its_day():
    readings = read(GOOD, "2026-03-18") | read({"ph": 7.1, "temperature": 27}, "2026-03-20")
    assert judged(readings).because == (
        "ammonia and nitrite not detectable, 27 °C, pH 7.1; tested today. Not tested then: ammonia "
        "and nitrite, last 2 days ago."
    )


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"temperature": 23.9}, "23.9 °C (allowed 24 °C to 30 °C)"),
        ({"temperature": 30.1}, "30.1 °C (allowed 24 °C to 30 °C)"),
        ({"ph": 6.4}, "pH 6.4 (allowed 6.5 to 7.5)"),
        ({"ammonia": 0.5}, "ammonia 0.5 mg/L NH4 (none may be detectable)"),
        ({"nitrate": 50.1}, "nitrate 50.1 mg/L NO3 (allowed at most 50 mg/L NO3)"),
    ],
)
def test_out_of_range_is_not_fit_and_named_with_what_is_allowed(values, said):
    found = judged(read(GOOD | values))
    assert (found.fit, found.verdict) == (False, "not fit")
    assert found.because == f"{said}; tested yesterday."


@pytest.mark.parametrize("values", [{"temperature": 24}, {"temperature": 30}, {"nitrate": 50}])
def test_the_limits_themselves_are_within(values):
    assert judged(read(GOOD | values)).fit is True


def test_a_reading_in_nitrogen_is_compared_as_the_ion():
    """11.3 mg/L NO3-N x 4.427 = 50.03; 11.29 x 4.427 = 49.98."""
    assert judged(read(GOOD | {"nitrate": 11.3}, read_as="N")).fit is False
    assert judged(read(GOOD | {"nitrate": 11.29}, read_as="N")).fit is True


def test_one_bad_reading_says_no_even_where_others_are_missing():
    assert judged(read({"ph": 9})).because == "pH 9 (allowed 6.5 to 7.5); tested yesterday."


def test_a_range_open_on_one_side_says_which():
    ranges = {
        "ph": Range("ph", 6, None, "own"),
        "temperature": Range("temperature", None, 30, "own"),
        "nitrate": Range("nitrate", None, 50, "own"),
    }
    found = judged(read({"ph": 5, "temperature": 31, "nitrate": 60}), ranges)
    assert found.because == (
        "pH 5 (allowed at least 6), 31 °C (allowed 30 °C) and nitrate 60 mg/L NO3 (allowed at "
        "most 50 mg/L NO3); tested yesterday."
    )
    assert judged(read({"ph": 6, "temperature": 5, "nitrate": 0}), ranges).fit is None
    assert judged(read({"ph": 9}), {"ph": Range("ph", None, 8, "own")}).because == (
        "pH 9 (allowed at most 8); tested yesterday."
    )


# ------------------------------------------------------------------------------- not known


def test_what_nobody_tested_is_not_known():
    found = judged({}, last_on=None)
    assert found.words == "Not known: the water has never been tested."
    assert (found.verdict, found.because) == ("not known", "the water has never been tested.")
    assert (found.fit, found.tested_on) == (None, None)


def test_a_test_from_before_the_days_that_count_is_too_old():
    found = judged({}, last_on="2026-03-10")
    assert found.because == "the last test is 10 days old (10 March 2026); test again."
    assert (found.fit, found.tested_on) == (None, cast.day("2026-03-10"))


@pytest.mark.parametrize(
    ("missing", "said"),
    [
        (("nitrite",), "nitrite"),
        (("ph", "temperature"), "temperature or pH"),
        (("ammonia", "nitrite", "ph"), "ammonia, nitrite or pH"),
    ],
)
def test_what_was_not_read_is_named(missing, said):
    found = judged(read({what: GOOD[what] for what in GOOD.keys() - {*missing}}))
    assert found.because == f"{said} not tested in the last 3 days; tested yesterday."
    assert (found.fit, found.tested_on) == (None, cast.day("2026-03-19"))


# ----------------------------------------------------------------------------- units and edges


def test_the_ion_weighs_more_than_its_nitrogen():
    """NO2-N x 3.284 and NO3-N x 4.427, as printed on test kits."""
    assert as_nitrogen(3.284, "nitrite", "ion") == pytest.approx(1, abs=1e-3)
    assert as_ion(1, "nitrate", "N") == pytest.approx(4.427, abs=1e-3)
    assert as_nitrogen(0.7, "nitrate", "N") == as_ion(0.7, "nitrate", "ion") == 0.7
    assert unit_words("ammonia", "N") == "mg/L NH4-N"


@pytest.mark.parametrize(
    ("least", "most", "holds"),
    [
        (5, 9, [False, True, True, True, False]),
        (None, 9, [True, True, True, True, False]),
        (5, None, [False, True, True, True, True]),
        (None, None, [True] * 5),
    ],
)
def test_a_range_holds_its_ends(least, most, holds):
    limits = Range("ph", least, most, "own")
    assert [limits.holds(value) for value in (4.9, 5, 7, 9, 9.1)] == holds


def test_a_reading_that_is_hardly_ever_so_is_said_to_be_unlikely():
    likely = {
        "ph": Range("ph", 5, 9, "one book"),
        "temperature": Range("temperature", 18, 34, "another"),
        "nitrite": Range("nitrite", None, 10, "a third"),
    }
    odd = read({"ph": 9.6, "temperature": 35.5, "nitrite": 11, "nitrate": 900})
    assert unlikely_words(odd.values(), likely) == [
        "pH 9.6 is unlikely; usual is 5 to 9 (one book).",
        "35.5 °C is unlikely; usual is 18 °C to 34 °C (another).",
        "nitrite 11 mg/L NO2 is unlikely; usual is at most 10 mg/L NO2 (a third).",
    ]
    assert unlikely_words(odd.values(), likely, "F")[1] == (
        "95.9 °F is unlikely; usual is 64.4 °F to 93.2 °F (another)."
    )
    assert unlikely_words(read({"ph": 9, "temperature": 18}).values(), likely) == []


@pytest.mark.parametrize(("celsius", "said"), [(0, "32 °F"), (37, "98.6 °F"), (100, "212 °F")])
def test_water_freezes_at_32_and_boils_at_212_degrees_fahrenheit(celsius, said):
    assert temperature_words(celsius, "F") == said
    assert temperature_words(celsius, "C") == f"{celsius} °C"
