"""How long a female rests after a birth: days counted by hand."""

import datetime

import pytest

from breeding.pairings.care.rest import rest_caution, rest_until, rests
from breeding.pairings.models import Outcome, Rest
from tests import cast

pytestmark = pytest.mark.django_db
BORN = cast.day("2026-03-01")
TODAY = cast.day("2026-04-30")
WITHDRAWN = {
    "withdrawn_at": datetime.datetime(2026, 4, 1, tzinfo=datetime.UTC),
    "withdrawn_reason": "it was Vega",
}


@pytest.fixture(scope="module")
def mira(kept_for_the_file):
    return cast.female("Mira", pure="motoro")


@pytest.fixture(scope="module")
def vega(kept_for_the_file):
    return cast.female("Vega", pure="motoro")


def birth(female, on=BORN, kind="live_birth", **more):
    return Outcome.objects.create(female=female, on=on, kind=kind, **more)


def program(rest_days):
    return cast.the_program(rest_days=rest_days)


def test_the_programs_days_are_counted_from_the_birth(mira):
    """1 March and 60 days are 30 April: 30 days to the end of March, 30 more."""
    birth(mira)
    assert rest_until(mira, program(60), asof=TODAY) == cast.day("2026-04-30")
    assert rest_until(mira, program(1), asof=TODAY) == cast.day("2026-03-02")


def test_no_days_are_no_rest(mira):
    birth(mira)
    assert rest_until(mira, program(0), asof=TODAY) is None


def test_each_female_rests_from_her_own_last_birth(mira, vega):
    birth(mira, cast.day("2025-03-01"))
    birth(mira)
    birth(vega, cast.day("2026-03-05"), "some_dead")
    found = rests([mira, vega], program(10), asof=TODAY)
    assert found == {mira.pk: cast.day("2026-03-11"), vega.pk: cast.day("2026-03-15")}


def test_only_a_birth_that_counts_and_has_come_asks_for_rest(mira):
    birth(mira, kind="resorbed")
    birth(mira, **WITHDRAWN)
    birth(mira, TODAY + datetime.timedelta(days=1))
    assert rests([mira], program(60), asof=TODAY) == {}
    birth(mira, TODAY)
    assert mira.pk in rests([mira], program(60), asof=TODAY)


def test_the_keepers_last_word_comes_before_the_programs_days(mira):
    born = birth(mira)
    for until in ("2026-05-01", "2026-06-01"):
        Rest.objects.create(outcome=born, until=cast.day(until))
    assert rest_until(mira, program(60), asof=TODAY) == cast.day("2026-06-01")


def test_a_word_that_was_taken_back_does_not_count(mira):
    Rest.objects.create(outcome=birth(mira), until=cast.day("2026-06-01"), **WITHDRAWN)
    assert rest_until(mira, program(60), asof=TODAY) == cast.day("2026-04-30")


def test_until_the_day_itself_it_is_said_and_from_then_on_no_more(mira):
    birth(mira)
    said = rest_caution(mira, program(60), on=cast.day("2026-04-29"))
    assert said == (
        "Mira is meant to rest until 30 April 2026 after her last birth. The choice is yours."
    )
    assert rest_caution(mira, program(60), on=cast.day("2026-04-30")) == ""


def test_of_one_that_need_not_rest_nothing_is_said(mira, vega):
    birth(mira)
    assert rest_caution(mira, program(0), on=BORN) == ""
    assert rest_caution(vega, program(60), on=BORN) == ""
