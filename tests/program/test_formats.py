"""Dates, sizes and shares as they are written: every rounding is here and nowhere else."""

import datetime
from fractions import Fraction

import pytest

from breeding.program import formats
from breeding.program.templatetags.formats import day, moment

MARCH = datetime.date(2026, 3, 3)  # a Tuesday


def test_days_are_written_in_three_ways():
    assert formats.plain_day(MARCH) == "Tue 3 Mar 2026"
    assert formats.long_day(MARCH) == "3 March 2026"
    assert formats.short_day(MARCH, datetime.date(2026, 12, 31)) == "3 Mar"
    assert formats.short_day(MARCH, datetime.date(2027, 1, 1)) == "3 Mar 2026"


def test_the_first_year_is_written_like_any_other():
    assert formats.long_day(datetime.date(1, 1, 1)) == "1 January 1"


@pytest.mark.parametrize(
    ("days", "said"),
    [
        (0, "today"),
        (1, "tomorrow"),
        (-1, "yesterday"),
        (12, "in 12 days"),
        (-12, "12 days ago"),
    ],
)
def test_the_distance_of_a_day_is_said(days, said):
    assert formats.distance(MARCH + datetime.timedelta(days=days), MARCH) == said


def test_a_day_with_its_distance():
    assert formats.day_with_distance(MARCH, datetime.date(2026, 2, 19)) == (
        "Tue 3 Mar 2026 (in 12 days)"
    )
    assert day(MARCH, MARCH) == "Tue 3 Mar 2026 (today)"
    assert day(MARCH) == "Tue 3 Mar 2026"
    assert day(None) == moment(None) == "unknown"


@pytest.mark.parametrize(
    ("on", "precision", "said"),
    [
        (None, "unknown", "unknown"),
        (datetime.date(2024, 1, 1), "year", "2024"),
        (datetime.date(2024, 5, 1), "month", "May 2024"),
        (datetime.date(2024, 5, 9), "day", "9 May 2024"),
    ],
)
def test_a_birth_is_no_more_exact_than_it_is_known(on, precision, said):
    assert formats.born_words(on, precision) == said


@pytest.mark.parametrize(
    ("millimetres", "unit", "said"),
    [
        (382, "cm", "38.2 cm"),
        (381, "in", "15.0 in"),  # 15 inches of 25.4 mm
        (0, "cm", "0.0 cm"),
        (None, "cm", "unknown"),
        (None, "in", "unknown"),
    ],
)
def test_a_length_in_the_programs_unit(millimetres, unit, said):
    assert formats.length(millimetres, unit) == said


@pytest.mark.parametrize(
    ("grams", "unit", "said"),
    [
        (450, "g", "450 g"),
        (999, "g", "999 g"),
        (1240, "g", "1.24 kg"),
        (450, "oz", "15.9 oz"),  # an ounce is 28.349523125 g
        (1088.6, "oz", "2.4 lb"),  # a pound is 16 ounces
        (None, "g", "unknown"),
    ],
)
def test_a_weight_in_the_programs_unit(grams, unit, said):
    assert formats.weight(grams, unit) == said


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (0, "0 %"),
        (Fraction(1, 4), "25 %"),
        (Fraction(1, 8), "12.5 %"),
        (Fraction(1, 16), "6.25 %"),
        (Fraction(1, 32), "3.125 %"),
        (Fraction(1, 128), "0.78 %"),
        (Fraction(9, 64), "14.1 %"),
        (1e-6, "less than 0.001 %"),
        (1, "100 %"),
    ],
)
def test_a_share_has_no_more_digits_than_help(share, said):
    assert formats.percent(share) == said


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (0, "0 %"),
        (-1e-18, "0 %"),
        (1e-9, "under 1 %"),
        (0.0049, "under 1 %"),
        (0.25, "25 %"),
        (0.005, "under 1 %"),
        (0.0051, "1 %"),
        (0.9949, "99 %"),
        (0.995, "over 99 %"),
        (0.9951, "over 99 %"),
        (1, "over 99 %"),
    ],
)
def test_a_chance_is_never_certain_when_it_is_not(chance, said):
    assert formats.chance(chance) == said


@pytest.mark.parametrize(
    ("parts", "said"),
    [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")],
)
def test_parts_are_joined_as_one_says_them(parts, said):
    assert formats.joined(parts) == said
    assert formats.joined(["a", "b"], "or") == "a or b"
