"""A year on one sheet: seasons that are over and those that go on."""

import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.litters.services import PupFacts, record_birth
from breeding.pairings.services import open_pairing, record_outcome
from tests import cast

NOON = "2026-11-25 12:00+00:00"


def a_season(number, *, first, last, ends="2026-07-01", kind="not_pregnant"):
    female = cast.female(f"Ray {number:02}", born_on=cast.day("2018-01-01"))
    male = cast.male(f"Male {number:02}", born_on=cast.day("2018-01-01"))
    today = cast.day("2026-11-25")
    days = {"introduced_on": cast.day(first), "separated_on": cast.day(last)}
    open_pairing(female=female, male=male, **days, program=cast.the_program(), by=None, today=today)
    if kind == "birth":
        record_birth(dam=female, born_on=cast.day(ends), pups=[PupFacts()], today=today, by=None)
    elif kind:
        record_outcome(female=female, on=cast.day(ends), kind=kind, today=today, by=None)
    return female


@time_machine.travel(NOON, tick=False)
def test_year_shows_closed_and_open_seasons_that_touch_it(as_keeper):
    a_season(1, first="2026-02-01", last="2026-03-01", ends="2026-06-10", kind="birth")
    a_season(2, first="2025-11-01", last="2025-12-20", ends="2026-04-20")
    a_season(3, first="2026-10-01", last="2026-11-20", kind=None)
    a_season(4, first="2024-02-01", last="2024-03-01", ends="2024-06-10")
    words = as_keeper.get(reverse("pairings:year", args=[2026])).content.decode()
    assert all(f"Ray {number:02}" in words for number in (1, 2, 3))
    assert "Ray 04" not in words
    assert "live birth, 10 Jun" in words
    assert "Gave birth on 10 June 2026." in words
    assert "was not pregnant, 20 Apr" in words
    earlier = as_keeper.get(reverse("pairings:year", args=[2025])).content.decode()
    assert "Ray 02" in earlier
    assert "Ray 01" not in earlier


@time_machine.travel(NOON, tick=False)
def test_year_offers_the_years_on_record_and_stays_within_them(as_keeper):
    a_season(4, first="2024-02-01", last="2024-03-01", ends="2024-06-10")
    answer = as_keeper.get(reverse("pairings:year", args=[2026]))
    assert answer.context["years"] == [2026, 2024]
    assert as_keeper.get(reverse("pairings:year", args=[9999])).context["number"] == 2026
    empty = as_keeper.get(reverse("pairings:year", args=[1])).content.decode()
    assert "no season ended, in 1900" in empty


@time_machine.travel(NOON, tick=False)
def test_year_asks_no_more_with_ten_more_seasons(as_keeper):
    counts = []
    for start in (1, 11):
        for number in range(start, start + 10):
            a_season(number, first="2026-02-01", last="2026-03-01", ends="2026-06-10")
        as_keeper.get(reverse("pairings:year", args=[2026]))
        with CaptureQueriesContext(connection) as asked:
            as_keeper.get(reverse("pairings:year", args=[2026]))
        counts.append(len(asked))
    assert counts[0] == counts[1] < 25
