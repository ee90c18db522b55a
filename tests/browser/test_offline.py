"""Without a network: what is read, what waits, and what somebody else finds on the phone."""

import re

import pytest

from tests.browser.conftest import QUIET, installed
from tests.browser.real import RealProgram
from tests.cast import PASSWORD

AS_OF = re.compile(
    r"The server does not answer\. This page comes from this phone, as of .*\d\d:\d\d\. "
)
AHEAD = ("/no-network/", "/", "/cards/", "/pairings/log/", "/care/")


@pytest.fixture(scope="module")
def program(tmp_path_factory):
    real = RealProgram(tmp_path_factory.mktemp("offline") / "home")
    try:
        real.start()
        real.write_people()
        yield real
    finally:
        real.kill()


@pytest.fixture
def running(program):
    if not program.answers():
        program.start()
    return program


@pytest.fixture
def phone(chromium, tmp_path, running):
    """A phone that keeps what it has when it is switched off: opened again, it is the same one."""
    open_now = []

    def switched_on():
        context = chromium.browser_type.launch_persistent_context(
            str(tmp_path / "phone"),
            executable_path=installed(),
            args=QUIET,
            viewport={"width": 390, "height": 844},
            base_url=running.url,
        )
        context.set_default_timeout(60_000)  # on a busy machine
        open_now.append(context)
        return context, context.pages[0]

    yield switched_on
    for context in open_now:
        context.close()


def sign_in(page, username="sam"):
    page.goto("/sign-in/")
    page.fill("[name=username]", username)
    page.fill("[name=password]", PASSWORD)
    page.click("main button")
    page.wait_for_url("**/")


def kept_pages(page):
    return page.evaluate(
        "async () => (await (await caches.open('pages-1')).keys())"
        ".map((one) => new URL(one.url).pathname)"
    )


def wait_until_kept(page, *addresses):
    for _ in range(150):
        if set(addresses) <= set(kept_pages(page)):
            return
        page.wait_for_timeout(200)
    raise AssertionError(f"kept are only {kept_pages(page)}")


def wait_until_drawn(page, part, number):
    """Until so many of the parts of a page that was never opened are on the device as well."""
    page.wait_for_function(
        "async ([part, number]) => (await (await caches.open('parts-1')).keys())"
        ".filter((one) => one.url.includes(part)).length === number",
        arg=[part, number],
        polling=200,
    )


def log_a_mating(page, female):
    page.goto("/pairings/log/")
    page.locator("label", has_text=female).first.click()
    page.locator("label", has_text="Mating").first.click()
    page.click("main form button.first")


def test_what_is_needed_at_a_tank_is_read_without_the_server_as_of_its_time(running, phone):
    _, page = phone()
    sign_in(page)
    mira = running.rows("SELECT id FROM animals_animal WHERE call_name = 'Mira'")[0][0]
    wait_until_kept(page, *AHEAD)
    wait_until_drawn(page, "/log.", 2)  # its style and its script
    page.goto(f"/animals/{mira}/")
    running.kill()
    for address, words in (
        ("/", "Nothing asks for you today"),
        ("/cards/", "Everybody, on cards"),
        ("/care/", "No local emergency"),
        (f"/animals/{mira}/", "Mira"),
    ):
        page.goto(address)
        page.get_by_text(AS_OF).wait_for()
        page.get_by_text(words).first.wait_for()
    page.goto("/pairings/log/")  # never opened before, and it looks as it should
    columns = page.locator(".tiles.faces").first.evaluate(
        "(tiles) => getComputedStyle(tiles).gridTemplateColumns.split(' ').length"
    )
    assert columns == 4
    page.goto(f"/pairings/log/?female={mira}")  # as the strip of the front page leads there
    page.get_by_text(AS_OF).wait_for()
    page.locator(".who .tile:has(input:checked)", has_text="Mira").wait_for()
    page.goto("/tanks/")
    page.get_by_role("heading", name="No connection").wait_for()
    listed = page.locator("#kept-pages li:visible a").all_inner_texts()
    assert listed == ["The day", "Everybody, on cards", "The log", "Care and emergencies"]


def test_what_is_logged_without_the_server_is_sent_once_each_even_after_a_restart(running, phone):
    context, page = phone()
    sign_in(page)
    wait_until_kept(page, *AHEAD)
    before = len(running.sightings())
    running.kill()
    for female in ("Mira", "Vega"):
        log_a_mating(page, female)
        page.get_by_text("Saved on this phone, not sent").wait_for()
    context.close()  # the phone is switched off, and on again
    running.start()
    _, page = phone()
    page.goto("/care/")
    page.get_by_text(re.compile("Sent: ")).first.wait_for()
    page.get_by_text(re.compile("Sent: ")).nth(1).wait_for()
    assert [one[0] for one in running.sightings()][before:] == ["Mira", "Vega"]


def test_the_server_killed_between_write_and_answer_of_a_kept_page_has_it_once(running, phone):
    _, page = phone()
    sign_in(page)
    wait_until_kept(page, *AHEAD)
    before = len(running.sightings())

    def write_then_die(route):
        route.fetch(max_redirects=0)  # the server has written it
        running.kill()
        route.abort()

    running.kill()
    page.goto("/pairings/log/")
    page.get_by_text(AS_OF).wait_for()
    page.locator("label", has_text="Mira").first.click()
    page.locator("label", has_text="Mating").first.click()
    running.start()
    page.route("**/pairings/log/", write_then_die, times=1)
    page.click("main form button.first")
    page.get_by_text("Saved on this phone, not sent").wait_for()
    assert len(running.sightings()) == before + 1
    running.start()
    page.goto("/care/")
    page.get_by_text(re.compile("Sent: ")).first.wait_for()
    assert len(running.sightings()) == before + 1


def test_whoever_signs_out_leaves_nothing_to_read(running, phone):
    _, page = phone()
    sign_in(page)
    wait_until_kept(page, *AHEAD)
    page.evaluate(
        "async (token) => { await fetch('/sign-out/', { method: 'POST', headers:"
        " { 'X-CSRFToken': token } }); }",
        page.evaluate("() => document.cookie.match(/rayward_csrf=([^;]*)/)[1]"),
    )
    page.goto("/")  # where one is asked to sign in
    page.get_by_role("button", name="Sign in").wait_for()
    page.wait_for_timeout(500)
    assert kept_pages(page) == []
    running.kill()
    with pytest.raises(Exception, match="ERR_"):
        page.goto("/cards/")


def test_pages_that_hold_what_is_private_are_never_kept(running, phone):
    _, page = phone()
    sign_in(page, "jo")
    wait_until_kept(page, *AHEAD)
    for address in ("/buyers/", "/settings/", "/people/", "/account/", "/sheets/"):
        page.goto(address)
    page.goto("/")
    page.wait_for_timeout(500)
    assert set(kept_pages(page)) == set(AHEAD)
