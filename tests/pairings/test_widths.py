"""Which widths of the season's drawings travel."""

import re

import pytest
import time_machine
from django.test import RequestFactory
from django.urls import reverse

from breeding.pairings.season.drawings import NARROW, WIDE
from breeding.program.frame.widths import COOKIE, widths_shown
from tests import cast

TODAY = "2026-11-25 12:00+00:00"
SHEETS = {"season": [], "year": [2026]}


@pytest.fixture
def two_seasons(db):
    """Mira and Vega, each with a male since ten days."""
    females = [cast.female("Mira", pure="motoro"), cast.female("Vega", pure="motoro")]
    for female in females:
        cast.pair(female, cast.male(f"With {female}", pure="motoro"), "2026-11-15")
    return females


def drawn_widths(html):
    """Of every season's drawing, how wide it is, in order."""
    found = re.findall(r'<svg [^>]*class="season"[^>]* width="(\d+)"', html)
    return [int(one) for one in found]


def asked(client, route, *args):
    answer = client.get(reverse(f"pairings:{route}", args=args))
    assert answer.status_code == 200
    return answer


@pytest.mark.one_database("a cookie becomes a word")
@pytest.mark.parametrize(
    ("told", "sent"),
    [
        ("narrow", ("narrow",)),
        ("wide", ("wide",)),
        (None, ("narrow", "wide")),
        ("", ("narrow", "wide")),
        ("wide; narrow", ("narrow", "wide")),
        ("9" * 5000, ("narrow", "wide")),
    ],
)
def test_one_width_is_sent_where_it_is_known_and_else_both(told, sent):
    request = RequestFactory().get("/")
    if told is not None:
        request.COOKIES[COOKIE] = told
    assert widths_shown(request) == sent


@time_machine.travel(TODAY, tick=False)
def test_the_season_is_drawn_once_in_the_width_of_the_window(as_keeper, two_seasons):
    assert drawn_widths(asked(as_keeper, "season").content.decode()) == [WIDE] * 2 + [NARROW] * 2
    as_keeper.cookies[COOKIE] = "narrow"
    assert drawn_widths(asked(as_keeper, "season").content.decode()) == [NARROW] * 2
    as_keeper.cookies[COOKIE] = "wide"
    assert drawn_widths(asked(as_keeper, "season").content.decode()) == [WIDE] * 2


@time_machine.travel(TODAY, tick=False)
def test_the_year_is_one_sheet_where_it_is_wide_and_a_row_each_where_it_is_narrow(
    as_keeper, two_seasons
):
    assert drawn_widths(asked(as_keeper, "year", 2026).content.decode()) == [WIDE] + [NARROW] * 2
    as_keeper.cookies[COOKIE] = "narrow"
    assert drawn_widths(asked(as_keeper, "year", 2026).content.decode()) == [NARROW] * 2
    as_keeper.cookies[COOKIE] = "wide"
    assert drawn_widths(asked(as_keeper, "year", 2026).content.decode()) == [WIDE]


@time_machine.travel(TODAY, tick=False)
@pytest.mark.parametrize("told", ["narrow", "wide", None])
@pytest.mark.parametrize("route", SHEETS)
def test_every_drawing_finds_its_words_on_the_page(as_keeper, two_seasons, route, told):
    if told:
        as_keeper.cookies[COOKIE] = told
    html = asked(as_keeper, route, *SHEETS[route]).content.decode()
    ids = re.findall(r' id="([^"]+)"', html)
    assert len(ids) == len(set(ids))
    described = re.findall(r'<svg [^>]*class="season"[^>]*aria-describedby="([^"]+)"', html)
    assert len(described) == len(drawn_widths(html))
    assert set(described) <= set(ids)


@time_machine.travel(TODAY, tick=False)
@pytest.mark.parametrize("route", SHEETS)
def test_nobody_keeps_one_width_for_a_window_of_the_other(as_keeper, two_seasons, route):
    answer = asked(as_keeper, route, *SHEETS[route])
    assert "Cookie" in answer.headers["Vary"]


@time_machine.travel(TODAY, tick=False)
@pytest.mark.parametrize("told", ["narrow", "wide", None])
def test_beside_other_things_a_season_is_drawn_once_whatever_the_window(
    as_keeper, two_seasons, told
):
    mira = two_seasons[0]
    if told:
        as_keeper.cookies[COOKIE] = told
    pages = [
        reverse("agenda:day"),
        reverse("pairings:female", args=[mira.pk]),
        reverse("pairings:detail", args=[mira.pairings_as_female.get().pk]),
        reverse("animals:detail", args=[mira.pk]),
    ]
    for address in pages:
        assert drawn_widths(as_keeper.get(address).content.decode()) == [NARROW], address
