"""Whether a tank gives its rays room: known answers on floors measured in whole centimetres."""

import pytest

from breeding.housing.space import room_words

# As in fixtures/water.json: common practice, no source; for two rays what Austria asks, by
# zootier-lexikon.
LIMITS = {
    "adult_width_mm": 900,
    "few_animals": 3,
    "few_length_mm": 2400,
    "few_width_mm": 1200,
    "source": "common practice",
    "two_floor_m2": 4.0,
    "two_source": "asked for two rays",
}
NARROW = "An adult wants a tank at least 90 cm wide; this one is 89 cm (common practice)."
SEVERAL = "Three to five adults want about 240 cm by 120 cm of floor (common practice)."


def words(length_mm, width_mm, adults, unit="cm"):
    return room_words(length_mm, width_mm, adults, LIMITS, unit)


@pytest.mark.parametrize(
    ("length_mm", "width_mm", "adults"),
    [
        (2400, 1200, 5),  # 8 by 4 feet, just enough
        (1200, 2400, 5),  # measured the other way round
        (2000, 900, 1),  # 3 feet, just enough; two square metres say nothing by themselves
        (2390, 1000, 2),
    ],
)
def test_a_roomy_tank_is_worth_no_word(length_mm, width_mm, adults):
    assert words(length_mm, width_mm, adults) == []


def test_a_side_that_nobody_measured_is_not_small():
    assert words(None, 800, 2) == words(800, None, 2) == words(None, None, 2) == []


def test_a_tank_without_adults_is_not_too_narrow():
    assert words(2000, 890, 0) == []


def test_the_shorter_side_is_the_width():
    assert words(2000, 890, 1) == words(890, 2000, 1) == [NARROW]


@pytest.mark.parametrize(("length_mm", "width_mm"), [(2399, 1700), (3400, 1199), (1700, 2399)])
def test_three_adults_want_length_and_width(length_mm, width_mm):
    assert words(length_mm, width_mm, 3) == [SEVERAL]
    assert words(length_mm, width_mm, 2) == []


def test_the_floor_is_compared_from_two_adults_on_where_something_is_said():
    area = "For comparison: 4.0 m² of floor is asked for two rays; this tank has 1.8 m²."
    assert words(2000, 890, 2) == [NARROW, area]
    assert words(2000, 890, 3) == [NARROW, SEVERAL, area]


def test_four_square_metres_are_four_and_a_hair_less_is_less():
    """5000 mm x 800 mm are 4,000,000 mm2; 4662 mm x 858 mm are four of them fewer."""
    assert len(words(5000, 800, 2)) == 1
    assert len(words(4662, 858, 2)) == 2


def test_a_program_in_inches_reads_inches_and_square_feet():
    """900 mm / 25.4 = 35.4; 4 m2 = 43.06 and 1.6 m2 = 17.2 square feet of 0.3048 m."""
    assert words(2000, 800, 2, "in") == [
        "An adult wants a tank at least 35 in wide; this one is 31 in (common practice).",
        "For comparison: 43 square feet of floor is asked for two rays; this tank has "
        "17 square feet.",
    ]
