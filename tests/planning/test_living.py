"""Who counts as living, and until when; above all of those gone on a day nobody wrote down."""

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.animals.services import change_animal
from breeding.planning.ahead.own_figures import own_figures
from breeding.planning.state.members import members
from tests import cast

BORN = cast.day("2020-05-01")
STATE = reverse("planning:state")


@pytest.fixture
def couple(as_keeper):
    return cast.female("Vega", born_on=BORN), cast.male("Altair", born_on=BORN)


def the_one(name):
    return next(one for one in members() if one.name == name)


def test_one_gone_without_a_day_counts_until_that_was_written_down(couple):
    vega, _ = couple
    with time_machine.travel("2024-03-03 12:00 +0000", tick=False):
        change_animal(vega, state="left", state_on=None)
    with time_machine.travel("2025-03-03 12:00 +0000", tick=False):
        change_animal(vega, state="died", state_on=None)  # gone it was before
    one = the_one("Vega")
    assert (one.until, one.until_is_recorded) == (cast.day("2024-03-03"), True)
    assert one.was_living(cast.day("2024-03-02"))
    assert not one.was_living(cast.day("2024-03-03"))


def test_one_that_came_back_and_went_again_counts_until_the_second_time(couple):
    vega, _ = couple
    for at, state in (("2022", "left"), ("2023", "here"), ("2024", "left")):
        with time_machine.travel(f"{at}-03-03 12:00 +0000", tick=False):
            change_animal(vega, state=state, state_on=None)
    assert the_one("Vega").until == cast.day("2024-03-03")


def test_one_that_was_entered_as_gone_without_a_day_counts_in_no_year(couple):
    cast.female("Mira", born_on=BORN, state="left")
    one = the_one("Mira")
    assert one.is_gone_since_nobody_knows
    assert not any(one.was_living(cast.day(on)) for on in ("2020-05-02", "2026-01-01"))


def test_a_day_that_is_given_stands_before_the_day_of_writing(couple):
    vega, _ = couple
    change_animal(vega, state="died", state_on=cast.day("2022-01-01"))
    one = the_one("Vega")
    assert (one.until, one.until_is_recorded) == (cast.day("2022-01-01"), False)


def test_those_gone_since_nobody_knows_speak_for_no_rate(couple):
    """Nine young of 2024 living, one gone and nobody knows when: 0 deaths of 9."""
    born = {"born_on": cast.day("2024-01-01"), "origin": "here"}
    for number in range(9):
        cast.ray(f"Ray {number}", **born)
    cast.ray("Ray 9", **born, state="died")
    found = own_figures(members(), cast.day("2026-01-01"))["deaths_first_year"]
    assert (found.value, found.records) == (0.0, 9)


def test_state_says_who_is_not_counted_and_who_until_it_was_written_down(as_keeper, couple):
    words = as_keeper.get(STATE).content.decode()
    assert "no day is given" not in words
    assert "nobody wrote down when" not in words
    vega, _ = couple
    cast.female("Capella", born_on=BORN)
    mira = cast.female("Mira", born_on=BORN, state="left")
    change_animal(vega, state="died", state_on=None)
    words = " ".join(as_keeper.get(STATE).content.decode().split())
    assert (
        "Not counted in any year, for nobody wrote down when it left or died: "
        f'<a href="{mira.get_absolute_url()}">Mira</a>.' in words
    )
    assert (
        "Counted until the day on which it was written down that it left or died, for no day is "
        f'given: <a href="{vega.get_absolute_url()}">Vega</a>.' in words
    )


def test_members_ask_no_more_with_ten_more_gone(couple):
    cast.female("Mira", born_on=BORN, state="left")
    members()  # what is kept between requests is warm
    counts = []
    for _ in range(2):
        with CaptureQueriesContext(connection) as asked:
            members()
        counts.append(len(asked))
        for number in range(10):
            cast.female(f"Ray {number}", born_on=BORN, state="died")
    assert counts == [5, 5]
