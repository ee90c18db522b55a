"""The season in the width of the window: at first both, then one, and the other as it turns."""

import datetime
import io

import pytest
from django.utils import timezone
from pypdf import PdfReader

from breeding.buyers.services import add_contact, reserve_animal
from breeding.pairings.species_file import load_species
from breeding.program import services
from breeding.program.acts.mending import address_of
from breeding.program.models import Person, Program
from tests import cast

pytestmark = pytest.mark.django_db(transaction=True)
NAMES = ["Mira", "Vega", "Lyra"]
OTHER = {"phone": (1024, 700), "desk": (600, 900)}  # across, and beside another window
WIDTH = {"phone": "narrow", "desk": "wide"}
TURNED = {"phone": "wide", "desk": "narrow"}
THERE = """() => Object.fromEntries([...document.querySelectorAll('.season-sheet > *')].map(
    one => [one.className.split('-')[0], getComputedStyle(one).display !== 'none']))"""


@pytest.fixture
def with_seasons(page):
    """A keeper, signed in by a one-time link, with three females in season."""
    load_species()
    cast.the_program()
    for name in NAMES:
        cast.pair(cast.female(name, pure="motoro"), cast.male(f"With{name}"), 30)
    link = services.make_sign_in_link(
        cast.owner(), now=timezone.now(), good_for=datetime.timedelta(hours=1)
    )
    page.goto(f"/link/{link}/")
    page.get_by_role("button", name="Sign in as").click()
    page.wait_for_load_state()
    return page


def addresses():
    return ["/pairings/season/", f"/pairings/year/{timezone.localdate().year}/"]


def resized(page, size):
    width, height = size
    page.set_viewport_size({"width": width, "height": height})


def test_one_width_travels_and_a_window_that_turns_is_brought_the_other(with_seasons, page, size):
    before = page.viewport_size
    for address in addresses():
        page.goto(address)
        assert page.evaluate(THERE) == {WIDTH[size]: True}
        page.evaluate("document.querySelector('main').dataset.same = 'page'")
        typed = page.locator("input[name=q]").first
        typed.evaluate("one => one.value = 'half a na'")
        page.mouse.wheel(0, 200)
        resized(page, OTHER[size])
        page.wait_for_selector(f".{TURNED[size]}-only", state="visible")
        assert page.evaluate(THERE) == {WIDTH[size]: False, TURNED[size]: True}
        assert page.locator("main").get_attribute("data-same") == "page"  # not loaded again
        assert typed.input_value() == "half a na"
        page.goto(address)
        assert page.evaluate(THERE) == {TURNED[size]: True}
        resized(page, (before["width"], before["height"]))
        page.wait_for_selector(f".{WIDTH[size]}-only", state="visible")
        kept = {one["name"]: one for one in page.context.cookies()}["rayward_width"]
        assert (kept["value"], kept["sameSite"], kept["path"]) == (WIDTH[size], "Lax", "/")


def test_a_window_that_is_brought_nothing_shows_what_it_has_and_asks_again(
    with_seasons, page, size
):
    page.goto("/pairings/season/")
    page.route("**/pairings/season/", lambda route: route.fulfill(body="<p>Another page"))
    with page.expect_response("**/pairings/season/"):
        resized(page, OTHER[size])
    assert page.evaluate(THERE) == {WIDTH[size]: True}
    page.unroute("**/pairings/season/")
    resized(page, (OTHER[size][0] - 10, 700))
    page.wait_for_selector(f".{TURNED[size]}-only", state="visible")


def test_every_season_is_on_paper_once_from_either_window(with_seasons, page, size):
    for address in addresses():
        page.goto(address)
        assert page.evaluate(THERE) == {WIDTH[size]: True}
        content = page.pdf(format="A4", prefer_css_page_size=True)
        drawn = "".join(one.extract_text() for one in PdfReader(io.BytesIO(content)).pages)
        for name in NAMES:
            assert drawn.split("In words")[0].count(f"With{name}") == 1


def test_without_scripts_both_travel_and_one_is_seen(with_seasons, page, size):
    state = page.context.storage_state()
    state["cookies"] = [one for one in state["cookies"] if one["name"] != "rayward_width"]
    width, height = page.viewport_size.values()
    plain = page.context.browser.new_context(
        viewport={"width": width, "height": height},
        base_url=page.url,
        java_script_enabled=False,
        storage_state=state,
    )
    other = plain.new_page()
    other.goto("/pairings/season/")
    assert other.locator(f".{WIDTH[size]}-only").is_visible()
    assert other.locator(f".{TURNED[size]}-only").count() == 1
    assert not other.locator(f".{TURNED[size]}-only").is_visible()
    plain.close()


@pytest.mark.parametrize("size", ["desk"])
@pytest.mark.parametrize("language", ["en", "de"])
def test_the_bar_of_a_desk_stands_on_one_line(with_seasons, page, language):
    Program.objects.update(name="Lantern Street Rays")
    Person.objects.update(language=language)
    page.goto("/tanks/")
    assert page.evaluate("document.querySelector('header.frame').offsetHeight") < 70


def test_an_animals_page_stays_within_the_window_in_letters_of_twice_the_size(with_seasons):
    page = with_seasons
    page.goto(cast.Animal.objects.get(call_name=NAMES[0]).get_absolute_url())
    page.evaluate("document.documentElement.lang = 'de'")
    heading = page.locator(".fold > summary h2").first
    heading.evaluate("one => one.textContent = 'Abstammung und Kennzeichen'")
    page.add_style_tag(content="html { font-size: 200% !important }")
    right, wide = page.evaluate(
        "[document.querySelector('.fold > summary h2').getBoundingClientRect().right, innerWidth]"
    )
    assert right <= wide


LARGE = [
    "/",
    "/tanks/1/",
    "/tanks/12/",
    "/pairings/log/",
    "/pairings/log/note/",
    "/planning/season/",
    "/planning/state/",
    "/chronicle/",
    "/animals/1/",
    "/animals/18/",
    "/pairings/female/18/nursery/",
    "/pairings/32/separate/",
    "/litters/birth/34/",
    "/more/",
    "/reminders/",
    "/tanks/house/",
]


@pytest.mark.parametrize("size", ["phone"])
@pytest.mark.parametrize("language", ["en", "de"])
def test_pages_stay_within_the_window_in_letters_of_twice_the_size(jo, language):
    jo.wait_for_load_state("networkidle")
    Person.objects.update(language=language)
    wide = {}
    for address in LARGE:
        assert jo.goto(address).status == 200
        jo.add_style_tag(content="html { font-size: 200% !important }")
        body = jo.evaluate("parseFloat(getComputedStyle(document.body).fontSize)")
        wide[address] = jo.evaluate("document.documentElement.scrollWidth")
        assert body == 34
    assert wide == dict.fromkeys(LARGE, 390)


@pytest.mark.parametrize("size", ["phone"])
def test_a_receipt_is_low_on_a_phone_and_keeps_its_undoing(jo):
    jo.wait_for_load_state("networkidle")  # a database in memory does not wait for its readers
    kim = add_contact(by=None, name="Kim Lund at the Old Ferry Landing")
    capella = cast.Animal.objects.get(call_name="Capella")
    jo.goto(address_of(reserve_animal(capella, contact=kim, on=timezone.localdate(), by=None)))
    jo.fill("main input[name=reason]", "No room before spring.")
    jo.get_by_role("button", name="Let it go").click()
    receipt = jo.locator(".receipt")
    receipt.get_by_text("is withdrawn and no longer counts. Capella is free again.").wait_for()
    assert receipt.bounding_box()["height"] <= 125
    assert receipt.get_by_role("button", name="Undo").bounding_box()["height"] >= 44
