"""Every page that can be opened holds WCAG 2.2 AA as far as axe-core can tell, on every screen.

Each page is looked at in one of eight ways, another for the next one; those of every day in all.
"""

import shutil
from functools import cache

import pytest
from django.test import Client, override_settings

from breeding.pairings.species_file import load_species
from breeding.program.models import Person
from tests.as_it_was import laid_aside
from tests.browser.accessible import WAYS, Way, look
from tests.everything import everything
from tests.routes import ROUTES, address, is_number, leading

pytestmark = pytest.mark.django_db(transaction=True)

EVERY_DAY = [
    "agenda:day",
    "animals:detail",
    "animals:edit",
    "animals:index",
    "animals:measure",
    "buyers:index",
    "buyers:new",
    "feeding:index",
    "finding:find",
    "housing:detail",
    "housing:index",
    "housing:water_test",
    "litters:detail",
    "litters:index",
    "pairings:female",
    "pairings:log",
    "planning:season",
    "program:more",
    "program:settings",
    "sheets:new",
]
# Half of the pages each, so that two browsers share them.
HALVES = (0, 1)


@pytest.fixture(autouse=True)
def _no_simulation_beside(monkeypatch):
    """A look ahead runs in a thread that cannot see what a test has written."""
    monkeypatch.setattr("breeding.planning.ahead.runs.run_beside", lambda asked: None)


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    """One of everything, written once: what gives it back, its files, and whose it is."""

    def write():
        files = tmp_path_factory.mktemp("everything")
        with override_settings(MEDIA_ROOT=files):
            load_species()
            owner = everything()
        return laid_aside(), files, owner.pk

    return cache(write)


@pytest.fixture
def owner(transactional_db, written, settings) -> Person:
    give_back, files, key = written()
    give_back()
    shutil.copytree(files, settings.MEDIA_ROOT)
    return Person.objects.get(pk=key)


@pytest.fixture
def page(chromium, live_server, owner):
    """A page of the owner at the server, who may open everything."""
    client = Client()
    client.force_login(owner)
    context = chromium.new_context(base_url=live_server.url, reduced_motion="reduce")
    cookie = client.cookies["rayward_session"]
    context.add_cookies([{"name": cookie.key, "value": cookie.value, "url": live_server.url}])
    page = context.new_page()
    page.set_default_timeout(60_000)  # on a busy machine
    yield page
    context.close()


def addresses(route: str, parts: tuple[str, ...]) -> list[str]:
    """Where the page of a route may be: with the first rows there are, and with each kind."""
    keys = (1, 2, 3) if any(map(is_number, parts)) else (1,)
    return [address(route, parts, key, token) for token in leading(parts) or ("x",) for key in keys]


def opened(page, where: str) -> bool:
    """Whether there is a page; what is only sent, a file or a row that is not there is none."""
    answer = page.context.request.get(where, max_redirects=0)
    if answer.status != 200 or not answer.headers["content-type"].startswith("text/html"):
        return False
    if "content-disposition" in answer.headers or "<main" not in answer.text():
        return False
    page.goto(where, wait_until="domcontentloaded")
    return True


def seen(page, route: str, parts: tuple[str, ...], ways: list[Way]) -> list[str] | None:
    """What is wrong with the first page that a route has; None where it has none."""
    for where in addresses(route, parts):
        if opened(page, where):
            return [
                f"{where} at {way.width} px, {way.colours}: {said}"
                for way in ways
                for said in look(page, way)
            ]
    return None


@pytest.mark.parametrize("half", HALVES)
def test_every_page_holds_on_one_screen_or_another(page, half):
    found = {
        route: seen(page, route, parts, [WAYS[place % len(WAYS)]])
        for place, (route, parts) in enumerate(ROUTES)
        if place % 2 == half
    }
    opened = [said for said in found.values() if said is not None]
    assert len(opened) > 60
    assert not (wrong := [one for said in opened for one in said]), "\n".join(wrong)


@pytest.mark.parametrize("half", HALVES)
def test_the_pages_of_every_day_hold_on_every_screen(page, half):
    parts = dict(ROUTES)
    found = [seen(page, route, parts[route], WAYS) for route in EVERY_DAY[half::2]]
    assert None not in found
    assert not (wrong := [one for said in found for one in said or ()]), "\n".join(wrong)


LONG = ["agenda:day", "animals:index", "animals:edit", "program:settings", "housing:water_test"]
COVERED = """() => {
    const focused = document.activeElement
    if (!focused || focused === document.body || focused.closest('.thumb, .done')) return ''
    const box = focused.getBoundingClientRect()
    for (const bar of document.querySelectorAll('.thumb, .done')) {
        const over = bar.getBoundingClientRect()
        if (!['fixed', 'sticky'].includes(getComputedStyle(bar).position) || !over.height) continue
        if (box.height && box.bottom > over.top + 1 && box.top < over.bottom)
            return `${focused.outerHTML.slice(0, 120)} lies under ${bar.className}`
    }
    return ''
}"""


def test_what_is_in_focus_never_lies_under_the_bar(page):
    """WCAG 2.4.11, by tabbing through long pages on a phone."""
    page.set_viewport_size({"width": 390, "height": 844})
    parts, hidden, stops = dict(ROUTES), [], 0
    for route in LONG:
        assert any(opened(page, where) for where in addresses(route, parts[route])), route
        for _ in range(60):
            page.keyboard.press("Tab")
            stops += 1
            hidden += filter(None, [page.evaluate(COVERED)])
    assert stops == 60 * len(LONG)
    assert not hidden, "\n".join(hidden)


def test_on_a_low_window_the_bar_does_not_stay(page):
    """At 400 % a window of 1280 by 1024 is 320 by 256: what stays would take half of it."""
    page.set_viewport_size({"width": 320, "height": 256})
    for route in ("agenda:day", "animals:edit", "pairings:log"):
        assert any(opened(page, where) for where in addresses(route, dict(ROUTES)[route]))
        stays = page.evaluate(
            """[...document.querySelectorAll('body *')].filter(one =>
                ['fixed', 'sticky'].includes(getComputedStyle(one).position)
                && !one.closest('table') && one.getBoundingClientRect().height
            ).map(one => one.outerHTML.slice(0, 120))"""
        )
        assert not stays, (route, stays)
