"""How the lines stand on the front page: many as one, the week drawn, the first screen kept."""

import datetime
from dataclasses import replace

import pytest
from django.urls import reverse

from breeding.agenda import front
from breeding.agenda.kinds.table import KINDS, TABLE
from breeding.agenda.lines.line import Line, write_line
from tests import cast
from tests.cast import ago, pair, see, words

TODAY = datetime.date(2026, 3, 4)
DAY = datetime.timedelta(days=1)


def line(kind: str, who: str, days: int = 0, **facts: str) -> Line:
    return write_line(
        KINDS[kind],
        mark=who,
        on=TODAY + days * DAY,
        today=TODAY,
        who=who,
        why="It is so.",
        animal=None,
        facts=facts | {"animal_id": 1, "female_id": 1, "tank_id": 1},
    )


@pytest.fixture(autouse=True)
def without_addresses(monkeypatch):
    monkeypatch.setattr(front, "path_of", lambda line: "/")


def rows(lines, part="week"):
    return [(one.who, one.what) for one in getattr(front.front_of(lines, TODAY), part)]


def test_two_of_a_kind_in_the_week_are_one_row_with_both_names():
    lines = [line("lagging", "Alya"), line("settle", "Mira"), line("lagging", "Izar")]
    assert rows(lines) == [
        ("Alya and Izar", "grow too slowly"),
        ("Mira", "a scan could tell"),
    ]


def test_a_heading_that_names_something_of_one_says_it_of_several():
    lines = [line("separate_bred", who, from_males=f" from {who}'s") for who in ("Alya", "Mira")]
    assert rows(lines) == [("Alya and Mira", "separate from their males, they are bred")]
    assert rows(lines[:1]) == [("Alya", "separate from Alya's, she is bred")]


def test_lines_that_say_different_things_are_never_one():
    lines = [
        replace(line("settle", who), what=what) for who, what in (("A", "this"), ("B", "that"))
    ]
    assert rows(lines) == [("A", "this"), ("B", "that")]


def test_what_presses_keeps_its_own_button_until_there_are_three():
    two = [line("overdue", who, -1) for who in ("Alya", "Mira")]
    assert rows(two, "now") == [("Alya", "past her window"), ("Mira", "past her window")]
    three = [*two, line("overdue", "Vega", -1)]
    assert rows(three, "now") == [("Alya, Mira and Vega", "past her window")]


def test_no_more_rows_than_a_first_screen_holds_and_the_others_are_named():
    lines = [replace(line("overdue", f"F{one}", -1), what=f"{one}") for one in range(14)]
    found = front.front_of(lines, TODAY)
    assert len(found.now) == front.MOST_NOW - 1
    assert [row.who for row in found.more_now] == ["F9", "F10", "F11", "F12", "F13"]
    just = front.front_of(lines[:10], TODAY)
    assert (len(just.now), just.more_now) == (10, [])


@pytest.mark.parametrize(
    ("kind", "days", "span"),
    [
        ("settle", -9, front.Span("mark", 1, 2)),
        ("settle", 0, front.Span("mark", 1, 2)),
        ("settle", 4, front.Span("by", 1, 6)),
        ("settle", 6, front.Span("by", 1, 8)),
        ("settle", 12, front.Span("by", 1, 8, goes_on=True)),
        ("watch_from", -3, front.Span("daily", 1, 8)),
        ("watch_from", 2, front.Span("daily", 3, 8)),
    ],
)
def test_the_span_of_a_line_is_its_days_of_the_week(kind, days, span):
    assert front.span_of(line(kind, "Mira", days), TODAY) == span


def test_a_heading_with_a_fact_of_one_female_has_words_for_several():
    """Names of males and tanks differ from line to line: without words they would never join."""
    of_one = {
        kind.key for kind in TABLE if "{from_males}" in kind.heading or "{place}" in kind.heading
    }
    assert of_one
    assert all(KINDS[key].several and "{" not in KINDS[key].several for key in of_one)


# ------------------------------------------------------------------------------------ the page


@pytest.mark.django_db
def test_day_says_the_next_birth_beside_the_folded_season(as_keeper):
    mira, deneb = cast.female("Mira", pure="motoro"), cast.male("Deneb", pure="motoro")
    pair(mira, deneb, 61, 59)
    see(mira, 60, male=deneb)
    page = words(as_keeper.get(reverse("agenda:day")))
    assert "next birth: Mira, by " in page


@pytest.mark.django_db
def test_day_offers_everybody_in_one_strip_with_a_male_first(as_keeper):
    mira, deneb = cast.female("Mira"), cast.male("Deneb")
    cast.female("Adhara")
    pair(mira, deneb, 5)
    page = as_keeper.get(reverse("agenda:day")).content.decode()
    log = reverse("pairings:log")
    places = [page.index(f'href="{log}?female={one.pk}"') for one in (mira, deneb)]
    assert places == sorted(places)


@pytest.mark.django_db
def test_day_of_a_viewer_offers_nobody_to_log(as_viewer):
    cast.female("Mira")
    assert reverse("pairings:log") not in words(as_viewer.get(reverse("agenda:day")))


@pytest.mark.django_db
def test_an_answered_line_is_named_beside_its_fold(as_keeper):
    mira, deneb = cast.female("Mira", pure="motoro"), cast.male("Deneb", pure="motoro")
    pair(mira, deneb, 141, 140)
    see(mira, 140, male=deneb)
    sent = {"key": f"overdue:{mira.pk}:{ago(141)}", "done": "1"}
    page = words(as_keeper.post(reverse("agenda:answer"), sent, follow=True))
    assert "Answered (1)" in page
