"""An hour that a night has twice, and one that it skips."""

import datetime

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from breeding.housing.models import Tank, WaterTest
from breeding.program.typed.moments import MomentField, is_doubled
from tests import cast
from tests.cast import words

FIRST = datetime.datetime(2026, 10, 25, 0, 30, tzinfo=datetime.UTC)
one_database = pytest.mark.one_database("what a form cleans")


def read(typed, zone="Europe/London"):
    with timezone.override(zone):
        return MomentField().clean(typed)


@one_database
def test_of_an_hour_that_comes_twice_the_first_is_taken():
    """London, 25 October 2026: clocks go back at 02:00 BST, which is 01:00 UTC."""
    at = read("2026-10-25T01:30")
    assert at.astimezone(datetime.UTC) == datetime.datetime(
        2026, 10, 25, 0, 30, tzinfo=datetime.UTC
    )
    assert is_doubled(at)


@one_database
@pytest.mark.parametrize("typed", ["2026-10-25T00:59", "2026-10-25T02:00", "2026-06-01 14:30"])
def test_any_other_hour_is_as_it_was(typed):
    at = read(typed)
    assert f"{at:%Y-%m-%d %H:%M}" == typed.replace("T", " ")
    assert not is_doubled(at)


@one_database
def test_an_hour_that_spring_skips_is_refused_by_its_name():
    """London, 29 March 2026: clocks go from 01:00 GMT to 02:00 BST."""
    with pytest.raises(ValidationError) as problem:
        read("2026-03-29T01:30")
    assert problem.value.messages == [
        "2026-03-29 01:30 does not exist in Europe/London: clocks went forward over it; choose an "
        "hour before or after."
    ]


@pytest.mark.django_db
def test_a_test_in_the_doubled_hour_is_kept_and_the_receipt_says_which(as_keeper):
    tank = Tank.objects.create(name="Pool")
    units = {f"{what}_as": "ion" for what in ("ammonia", "nitrite", "nitrate")}
    with time_machine.travel("2026-10-25 09:00:00Z", tick=False):
        answer = as_keeper.post(
            reverse("housing:water_test", args=[tank.pk]),
            units | {"ph": "7.0", "tested_at": "2026-10-25T01:30"},
            follow=True,
        )
    assert "01:30 came twice in the night of 2026-10-25: the first one counts." in words(answer)
    kept = WaterTest.objects.get().tested_at
    assert kept == FIRST
    assert cast.the_program().time_zone == "Europe/London"
