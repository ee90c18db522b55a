"""Against a real process with a real file: at once, killed before it answered, by two people."""

import re
import urllib.parse
import urllib.request
from concurrent.futures import ThreadPoolExecutor
from http.cookiejar import CookieJar

import pytest

from tests.browser.real import RealProgram, token_in
from tests.cast import PASSWORD


@pytest.fixture(scope="module")
def program(tmp_path_factory):
    real = RealProgram(tmp_path_factory.mktemp("real") / "home")
    try:
        real.start()
        real.write_people()
        yield real
    finally:
        real.kill()


@pytest.fixture
def before(program):
    """How many sightings there were: each test counts its own."""
    return len(program.sightings())


@pytest.fixture
def open_page(program, chromium):
    """A phone on which somebody has signed in."""
    contexts = []

    def opened(username: str):
        context = chromium.new_context(viewport={"width": 390, "height": 844}, base_url=program.url)
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(60_000)  # on a busy machine
        page.goto("/sign-in/")
        page.fill("[name=username]", username)
        page.fill("[name=password]", PASSWORD)
        page.click("main button")
        page.wait_for_url("**/")
        return page

    yield opened
    for context in contexts:
        context.close()


def fill_a_sighting(page, female: str = "Mira") -> None:
    page.goto("/pairings/log/")
    page.locator("label", has_text=female).first.click()
    page.locator("label", has_text="Mating").first.click()


AFTER_A_START_MS = 60_000  # the first pages of a server that has just begun, on a busy machine


class Keeper:
    """Somebody's device that speaks HTTP without a browser."""

    def __init__(self, program: RealProgram, username: str) -> None:
        self.url = program.url
        cookies = urllib.request.HTTPCookieProcessor(CookieJar())
        self.opener = urllib.request.build_opener(cookies)
        page = self.get("/sign-in/")
        self.post("/sign-in/", {**hidden(page), "username": username, "password": PASSWORD})

    def get(self, path: str) -> str:
        return str(self.opener.open(self.url + path, timeout=60).read().decode())

    def post(self, path: str, fields: dict[str, str]) -> str:
        sent = urllib.parse.urlencode(fields).encode()
        return str(self.opener.open(self.url + path, sent, timeout=60).read().decode())


def hidden(page: str) -> dict[str, str]:
    found = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', page)
    assert found
    return {"csrfmiddlewaretoken": found[1]}


def test_eight_sendings_of_one_form_at_once_write_one_row(program, before):
    sam = Keeper(program, "sam")
    page = sam.get("/pairings/log/")
    mira = program.rows("SELECT id FROM animals_animal WHERE call_name = 'Mira'")[0][0]
    mating = program.rows("SELECT id FROM pairings_signkind WHERE key = 'copulation'")[0][0]
    fields = {**hidden(page), "once": token_in(page), "female": mira, "kind": mating}
    with ThreadPoolExecutor(8) as threads:
        answers = list(threads.map(lambda _: sam.post("/pairings/log/", fields), range(8)))
    assert len(program.sightings()) == before + 1
    assert all("Written: Mira, mating" in answer for answer in answers)


def sent_by_the_next_page(page, program):
    """The page that waits is left before the server is back: it would send just as it is left."""
    page.goto("about:blank")
    program.start()
    page.goto(f"{program.url}/animals/")
    page.get_by_text(re.compile("Sent: Log a sighting")).wait_for(timeout=AFTER_A_START_MS)


def test_the_server_killed_between_write_and_answer_has_written_it_once(program, before, open_page):
    page = open_page("sam")
    fill_a_sighting(page)

    def write_then_die(route):
        route.fetch(max_redirects=0)  # the server has written it
        program.kill()
        route.abort()

    page.route("**/pairings/log/", write_then_die, times=1)
    page.click("main form button.first")
    page.get_by_text("Saved on this phone, not sent").wait_for()
    assert len(program.sightings()) == before + 1
    sent_by_the_next_page(page, program)
    assert len(program.sightings()) == before + 1


def test_the_server_killed_before_it_wrote_gets_it_when_it_is_back(program, before, open_page):
    page = open_page("sam")
    fill_a_sighting(page, "Vega")
    program.kill()
    page.click("main form button.first")
    page.get_by_text("Saved on this phone, not sent").wait_for()
    assert len(program.sightings()) == before
    sent_by_the_next_page(page, program)
    assert len(program.sightings()) == before + 1


def test_two_people_change_one_tank_and_the_second_decides(program, open_page):
    jo, sam = open_page("jo"), open_page("sam")
    jo.goto("/tanks/new/")
    jo.fill("[name=name]", "Pond")
    jo.click("main form button.first")
    jo.wait_for_url(re.compile(r"/tanks/[0-9]+/$"))
    address = jo.url.removeprefix(program.url) + "edit/"
    for page in (jo, sam):
        page.goto(address)
    jo.fill("[name=name]", "Pond of Jo")
    jo.click("main form button.first")
    jo.get_by_role("heading", name="Pond of Jo").wait_for()
    sam.fill("[name=name]", "Pond of Sam")
    sam.click("main form button.first")
    sam.get_by_text("Jo changed this while you had it open").first.wait_for()
    assert program.rows("SELECT name FROM housing_tank") == [("Pond of Jo",)]
    assert sam.input_value("[name=name]") == "Pond of Sam"
    sam.click("main form button.first")
    sam.get_by_role("heading", name="Pond of Sam").wait_for()
    assert program.rows("SELECT name FROM housing_tank") == [("Pond of Sam",)]
