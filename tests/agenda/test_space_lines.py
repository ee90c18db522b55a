"""The lines of space on the day: too small as measured is one line, what comes is one a tank."""

import pytest
import time_machine

from breeding.agenda.gathered import Gathered
from breeding.agenda.lines.tanks.space import AHEAD_DAYS, space_lines
from breeding.agenda.queries import the_day
from breeding.housing.models import Tank
from tests import cast
from tests.housing.test_room import grown, put, tank, young

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _program():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        cast.the_program(length_unit="cm")
        yield


def lines():
    return list(space_lines(Gathered(cast.the_program(), cast.ago(0))))


def stands(*inside, **of):
    """A tank of 2.4 by 1.2 m, or as said, with these in it."""
    made = tank(**of)
    for one in inside:
        put(one, made)
    return made


def test_with_room_for_everybody_nothing_is_said():
    stands(grown("Mira", 300))
    assert lines() == []


def test_a_tank_without_measures_is_no_line():
    stands(grown("Mira", 900), length_mm=None)
    assert lines() == []


def test_a_tank_that_is_too_small_today_is_named_with_why():
    """8 x 0.25 + 4 x 0.25 + 4 x 0.16 = 3.64 m2, on 2.4 x 1.2 = 2.88 m2."""
    small = stands(grown("Mira", 500), grown("Vega", 500), grown("Spica", 400))
    (line,) = lines()
    assert (line.kind.key, line.who, line.on) == ("space_now", str(small), cast.ago(0))
    assert line.why == "Too small for these 3: they want 3.64 m² of floor and it has 2.88 m²."
    assert line.page_of == small.pk


def test_several_are_one_line_that_begins_with_the_one_that_lacks_most():
    first = stands(grown("Mira", 500), grown("Vega", 500), grown("Spica", 400), name="A1")
    worse = stands(grown("Atria", 600), grown("Lyra", 600), name="B1")
    stands(grown("Izar", 300), name="C1")
    (line,) = lines()
    assert line.who == f"{worse} and 1 more"
    assert line.why.endswith(f" In all: {worse} and {first}.")


def test_one_that_will_be_too_small_is_said_with_the_day_before_it_comes():
    small = stands(young(), length_mm=1500, width_mm=900)
    (line,) = lines()
    assert (line.kind.key, line.who) == ("space", str(small))
    assert cast.ago(0) < line.on <= cast.ago(-AHEAD_DAYS)


def test_an_answer_holds_until_somebody_else_is_put_there():
    small = stands(grown("Mira", 500), grown("Vega", 500), grown("Spica", 400))
    (before,) = lines()
    (same,) = lines()
    assert same.key == before.key
    put(grown("Lyra", 300), small)
    (after,) = lines()
    assert after.key != before.key


def test_it_stands_on_the_day_and_costs_no_more_with_more_tanks(django_assert_max_num_queries):
    stands(grown("Mira", 500), grown("Vega", 500), grown("Spica", 400), name="A1")
    assert any(
        one.kind.key == "space_now" for one in the_day(cast.the_program(), today=cast.ago(0)).lines
    )
    with django_assert_max_num_queries(60) as few:
        assert len(lines()) == 1
    for number in range(6):
        stands(grown(f"Ray {number}", 300), name=f"T{number}")
    lines()  # figures that are kept between requests are read anew after a new animal
    with django_assert_max_num_queries(len(few)):
        assert len(lines()) == 1
    assert Tank.objects.count() == 7
