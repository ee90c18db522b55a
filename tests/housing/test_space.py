"""How much floor animals want: known answers in whole centimetres."""

import json

import numpy as np
import pytest

from breeding.housing.room.drawing import laid_out
from breeding.housing.room.said import area
from breeding.housing.space import Floor, Rule, first_day, wanted_by
from breeding.program.reference.fixture_files import fixture_path

RAY = Rule(front_to_back=2, length=4, floor_first=8, floor_further=4)
SMALL = Rule(front_to_back=1, length=2, floor_first=2, floor_further=1)


def is_enough(length_mm, width_mm, *widths_mm):
    wanted = wanted_by(np.array([[float(one)] for one in widths_mm]), [RAY] * len(widths_mm))
    return not Floor(length_mm, width_mm).is_too_small(wanted)[0]


def test_two_rays_of_58_cm_want_the_four_square_metres_that_austria_asks_for_two():
    """8 x 0.58 x 0.58 + 4 x 0.58 x 0.58 = 4.04 m2; zootier-lexikon has 4 m2."""
    rules = json.loads(fixture_path("species.json").read_text("utf-8"))["for_every_profile"]
    names = ("front_to_back_widths", "length_widths", "floor_first", "floor_further")
    rule = Rule(*(rules[f"space_{name}"]["value"] for name in names))
    floor = wanted_by(np.array([[580.0], [580.0]]), [rule, rule]).floor[0]
    asked = json.loads(fixture_path("water.json").read_text("utf-8"))["space"]["two_floor_m2"]
    assert rule == RAY
    assert round(floor / 1e6, 1) == asked == 4.0


@pytest.mark.parametrize(
    ("length_mm", "width_mm", "widths_mm"),
    [
        (2000, 1000, [500]),  # 4 and 2 widths, and 8 squares of it: to the millimetre
        (1000, 2000, [500]),  # measured the other way round
        (2400, 1250, [500, 500]),  # 8 and 4 squares of half a metre: 3 m2
        (2400, 1250, [500, 300, 300]),  # 2 + 0.36 + 0.36 m2
    ],
)
def test_a_floor_that_is_just_large_enough_is_enough(length_mm, width_mm, widths_mm):
    assert is_enough(length_mm, width_mm, *widths_mm)


@pytest.mark.parametrize(
    ("length_mm", "width_mm", "widths_mm"),
    [
        (4000, 999, [500]),  # too narrow to turn in
        (1999, 1500, [500]),  # too short to swim in
        (2390, 1250, [500, 500]),  # two want 3 m2, and this is 2.99
    ],
)
def test_a_hair_less_is_less(length_mm, width_mm, widths_mm):
    assert not is_enough(length_mm, width_mm, *widths_mm)


def test_whoever_asks_for_most_more_has_the_floor_of_a_first():
    """A ray of 40 cm beside a fish of 50: 8 x 0.16 + 1 x 0.25, and not 2 x 0.25 + 4 x 0.16."""
    wanted = wanted_by(np.array([[400.0], [500.0]]), [RAY, SMALL])
    assert wanted.floor[0] / 1e6 == pytest.approx(1.53)
    assert (wanted.front_to_back[0], wanted.length[0]) == (800, 1600)


def test_the_first_day_is_the_first_on_which_anything_is_lacking():
    widths = np.array([[480.0, 500.0, 510.0, 520.0]])
    assert first_day(Floor(2000, 1000), widths, [RAY]) == 2
    assert first_day(Floor(2080, 1040), widths, [RAY]) is None


def test_an_area_is_said_in_square_feet_in_a_program_of_inches():
    """4.0368 m2 / 0.3048 m squared = 43.45 square feet."""
    assert (area(4_036_800, "cm"), area(4_036_800, "in")) == ("4.04 m²", "43.5 square feet")


def test_discs_lie_in_rows_and_what_finds_no_place_lies_below_the_floor():
    """Three of 40 cm with a gap of 4 on 1 m by 0.5: two beside each other, one below both."""
    discs = laid_out(Floor(1000, 500), [(400, "Mira"), (400, "Deneb"), (400, "Vega")])
    assert [(disc.x, disc.y) for disc in discs] == [(220, 220), (660, 220), (220, 660)]
