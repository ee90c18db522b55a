"""A keeper's own pages over a slow phone line, signed in, from the program as it runs.

The line is the browser's own (Chromium's network throttling, `tests/browser/slow.py`): 1.6 Mbit/s
down, 750 kbit/s up and 150 ms before every answer, a phone-sized window, nothing kept from before.
"""

import pytest

from breeding.program.management.commands.start import DEMO_PASSWORD
from tests.browser.real import RealProgram
from tests.browser.slow import PHONE, Visit, visit

MOST_BYTES = 100_000
MOST_MILLISECONDS = 1_000  # to the first content, after the server's own work
# Other work on this machine only ever makes a visit slower, so the quickest of a few counts; where
# none of them is quick enough it is tried a few times more.
VISITS, MOST_VISITS = 2, 10
PLACES = {
    "the day": "SELECT '/'",
    "the log": "SELECT '/pairings/log/'",
    "a round of feeding": "SELECT '/feeding/'",
    "the fish house": "SELECT '/tanks/house/'",
    "all animals": "SELECT '/animals/'",
    "an animal": "SELECT '/animals/' || female_id || '/' FROM pairings_pairing ORDER BY id DESC",
    "a litter": "SELECT '/litters/' || id || '/' FROM litters_litter ORDER BY born_on DESC",
    "a tank": "SELECT '/tanks/' || tank_id || '/' FROM housing_stay WHERE until IS NULL "
    "GROUP BY tank_id ORDER BY count(*) DESC",
    "the plan": "SELECT '/planning/season/'",
}


@pytest.fixture(scope="module")
def program(tmp_path_factory):
    real = RealProgram(tmp_path_factory.mktemp("light") / "home")
    try:
        real.start()
        real.load_demo()
        yield real
    finally:
        real.kill()


@pytest.fixture(scope="module")
def signed_in(chromium, program):
    context = chromium.new_context(base_url=program.url)
    page = context.new_page()
    page.set_default_timeout(60_000)
    page.goto("/sign-in/")
    page.fill("[name=username]", "jo")
    page.fill("[name=password]", DEMO_PASSWORD)
    page.click("main button")
    page.wait_for_url("**/")
    yield context.storage_state()
    context.close()


def best_of(chromium, program, signed_in, address: str) -> Visit:
    """The quickest of a few visits, each by a browser that has nothing kept; its own weight."""
    found: list[Visit] = []
    while len(found) < VISITS or (len(found) < MOST_VISITS and not any(map(_is_soon, found))):
        context = chromium.new_context(
            viewport={"width": 390, "height": 844}, base_url=program.url, storage_state=signed_in
        )
        page = context.new_page()
        page.set_default_timeout(60_000)
        found.append(visit(page, address, PHONE))
        context.close()
    return min(found, key=lambda one: one.after_the_server)


def _is_soon(one: Visit) -> bool:
    return one.after_the_server < MOST_MILLISECONDS


@pytest.mark.parametrize("name", PLACES)
def test_a_page_of_every_day_is_light_and_soon_to_be_read(chromium, program, signed_in, name):
    address = program.rows(PLACES[name])[0][0]
    best = best_of(chromium, program, signed_in, address)
    print(f"\n{name} ({address}): {best}, net of the server {best.after_the_server:.0f} ms")
    assert best.weight < MOST_BYTES
    assert best.after_the_server < MOST_MILLISECONDS
