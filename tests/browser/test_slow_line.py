"""The page of a shared sheet over a slow line: how heavy it is, and how soon it can be read.

The line is the browser's own (Chromium's network throttling): 400 kbit/s each way and 300 ms of
delay for every answer, on a phone-sized window, with nothing kept from before.
"""

import os

import pytest

from breeding.animals.models import Animal
from breeding.program import clock
from breeding.sheets import services as sheet_services
from breeding.sheets.contents.portraits import portraits_of
from breeding.sheets.shared import links as sheet_links
from tests.browser.slow import TIMES, WEAK, over

pytestmark = pytest.mark.django_db(transaction=True)

MOST_MILLISECONDS = 1_000  # to the first content
MOST_VISITS = 10  # other work on this machine only ever makes a visit slower: one quick one counts


@pytest.fixture
def shared_address(demo):
    """A sheet of the demo with three portraits and a pictured tree."""
    young = Animal.objects.filter(portrait__isnull=False, sire__isnull=False, dam__isnull=False)
    animal = young.select_related("sire", "dam").get(call_name="Sadalsuud")
    assert all(portraits_of([animal, animal.sire, animal.dam]).values())
    sheet = sheet_services.issue_sheet(animal, by=None, on=clock.today())
    return f"/sheets/s/{sheet_links.link_of(sheet).token}/"


def opened(chromium, live_server, address):
    context = chromium.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    weights = over(WEAK, page)
    page.goto(live_server.url + address, wait_until="domcontentloaded")
    page.get_by_text("As issued: unaltered.").wait_for()
    times = page.evaluate(TIMES)
    page.evaluate("window.scrollTo(0, document.body.scrollHeight / 2)")
    page.wait_for_timeout(300)
    page.evaluate("window.scrollTo(0, document.body.scrollHeight)")
    page.evaluate(
        """() => new Promise(told => {
            const look = () => [...document.images].every(one => one.complete && one.naturalWidth)
                ? told() : setTimeout(look, 20)
            look()
        })"""
    )
    times["everything"] = page.evaluate("performance.now()")
    times["wide"] = page.evaluate("document.documentElement.scrollWidth")
    times["weight"] = sum(weights.values())
    if folder := os.environ.get("RAYWARD_SHOTS"):
        page.screenshot(path=f"{folder}/phone-shared-sheet.png", full_page=True)
    context.close()
    return times


def test_a_shared_sheet_can_be_read_within_a_second_over_a_slow_line(
    chromium, live_server, shared_address
):
    opened(chromium, live_server, shared_address)  # the server's own first time is not the line's
    times = opened(chromium, live_server, shared_address)
    for _ in range(MOST_VISITS - 1):
        if times["read"] >= MOST_MILLISECONDS:
            times = opened(chromium, live_server, shared_address)
    print(
        f"\nshared sheet: readable after {times['read']:.0f} ms, text whole after "
        f"{times['text']:.0f} ms, all pictures after {times['everything']:.0f} ms; page "
        f"{times['page'] / 1000:.1f} kB, everything {times['weight'] / 1000:.1f} kB"
    )
    assert times["page"] < 20_000
    assert times["weight"] < 250_000
    assert times["wide"] <= 390
    assert times["read"] < MOST_MILLISECONDS
