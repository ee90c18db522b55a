"""Dates, sizes and shares as they are written: every rounding is here and nowhere else."""

import datetime
from fractions import Fraction

import pytest

from breeding.program.templatetags.formats import day, moment
from breeding.words import chances, days, numbers, sizes
from breeding.words.style import SHEET

MARCH = datetime.date(2026, 3, 3)  # a Tuesday


def test_days_are_written_in_three_ways():
    assert days.plain_day(MARCH) == "Tue 3 Mar 2026"
    assert days.long_day(MARCH) == "3 March 2026"
    assert days.short_day(MARCH, datetime.date(2026, 12, 31)) == "3 Mar"
    assert days.short_day(MARCH, datetime.date(2027, 1, 1)) == "3 Mar 2026"


def test_the_first_year_is_written_like_any_other():
    assert days.long_day(datetime.date(1, 1, 1)) == "1 January 1"


@pytest.mark.parametrize(
    ("away", "said"),
    [
        (0, "today"),
        (1, "tomorrow"),
        (-1, "yesterday"),
        (12, "in 12 days"),
        (-12, "12 days ago"),
        (119, "in 119 days"),
        (730, "in 2 years"),
        (-730, "2 years ago"),
    ],
)
def test_the_distance_of_a_day_is_said(away, said):
    assert days.distance(MARCH + datetime.timedelta(days=away), MARCH) == said


def test_a_day_with_its_distance():
    assert days.day_with_distance(MARCH, datetime.date(2026, 2, 19)) == (
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
    assert days.born_words(on, precision) == said


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
    assert sizes.length(millimetres, unit) == said


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
    assert sizes.weight(grams, unit) == said


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (0, "0 %"),
        (Fraction(1, 4), "25 %"),
        (Fraction(1, 8), "12.5 %"),
        (Fraction(1, 16), "6.25 %"),
        (Fraction(3, 16), "18.75 %"),
        (0.1875, "18.75 %"),
        (Fraction(1, 32), "3.13 %"),
        (Fraction(1, 128), "0.78 %"),
        (Fraction(9, 64), "14.06 %"),
        (0.140625, "14.06 %"),
        (Fraction(1, 3), "33.33 %"),
        (1e-6, "less than 0.01 %"),
        (0.99999, "more than 99.99 %"),
        (1, "100 %"),
        (Fraction(-1, 8), "-12.5 %"),
    ],
)
def test_a_share_is_written_alike_everywhere_with_two_figures_after_the_point(share, said):
    assert numbers.percent(share) == said


@pytest.mark.parametrize(
    ("share", "said"),
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
def test_a_chance_is_never_certain_when_it_is_not(share, said):
    assert chances.chance(share) == said


@pytest.mark.parametrize(
    ("parts", "said"),
    [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")],
)
def test_parts_are_joined_as_one_says_them(parts, said):
    assert numbers.joined(parts) == said
    assert numbers.joined(["a", "b"], "or") == "a or b"


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        ("2026-11-28", "2027-03-28", "4 months"),  # 120 days
        ("2026-11-28", "2027-03-27", "119 days"),
        ("2026-01-31", "2026-05-31", "4 months"),
        ("2026-10-31", "2027-02-28", "4 months"),  # the last of a shorter month
        ("2026-01-01", "2026-06-16", "6 months"),  # five and half of thirty days
        ("2026-01-01", "2026-06-15", "5 months"),
        ("2026-01-01", "2027-12-17", "2 years"),
        ("2026-01-01", "2028-01-01", "2 years"),
        ("2020-01-01", "2026-11-25", "7 years"),
        ("2024-02-29", "2027-02-28", "3 years"),
        ("0001-01-01", "9999-12-31", "9999 years"),
    ],
)
def test_a_stretch_is_counted_in_calendar_months_and_years(first, last, said):
    stretch = days.stretch(datetime.date.fromisoformat(first), datetime.date.fromisoformat(last))
    assert stretch == said


@pytest.mark.parametrize("start", range(0, 1500, 37))
def test_730_days_are_two_years_from_every_day_on(start):
    first = MARCH + datetime.timedelta(days=start)
    assert days.distance(first + datetime.timedelta(days=730), first) == "in 2 years"


def test_every_count_goes_with_its_noun():
    assert numbers.counted(1, "dam") == "1 dam"
    assert numbers.counted(0, "dam") == "0 dams"
    assert numbers.counted(1, "generation", spells=True) == "one generation"
    assert numbers.counted(1, "more ancestor", spells=True) == "one more ancestor"
    assert numbers.counted(2, "more ancestor", spells=True) == "two more ancestors"


def test_numbers_and_ordinals_beyond_the_words_are_figures():
    assert [numbers.spelled(one) for one in (0, 10, 12, 13)] == ["no", "ten", "twelve", "13"]
    assert [numbers.ordinal(one) for one in (1, 8, 9, 11, 22, 103)] == [
        "first",
        "eighth",
        "9th",
        "11th",
        "22nd",
        "103rd",
    ]


@pytest.mark.parametrize(
    ("known", "possible", "said"),
    [
        (Fraction(1399, 100), 14, "more than 13"),
        (Fraction(1, 25), 14, "less than 1"),
        (Fraction(1, 2), 14, "less than 1"),
        (Fraction(26, 5), 14, "about 5"),
        (Fraction(14), 14, "14"),
        (Fraction(0), 14, "0"),
    ],
)
def test_a_part_of_a_place_is_neither_none_nor_all(known, possible, said):
    assert numbers.places(known, possible) == said


def test_a_list_that_is_too_long_says_how_many_more():
    names = ["A", "B", "C"]
    assert numbers.some(names, 3) == "A, B and C"
    assert numbers.some(names, 2) == "A, B and 1 more"
    assert numbers.some(names, 2, SHEET) == "A, B and one more"


@pytest.mark.parametrize(
    ("share", "said"),
    [(Fraction(1, 2), "half"), (Fraction(1, 8), "an eighth"), (Fraction(1, 4), "a quarter"),
     (Fraction(3, 8), "3/8"), (Fraction(1, 3), "1/3")],
)  # fmt: skip
def test_a_part_is_a_noun_where_there_is_one(share, said):
    assert numbers.a_part(share) == said
