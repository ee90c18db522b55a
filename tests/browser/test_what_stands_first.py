"""What a page is opened for stands first, marks stand at their words, and drawings can be read."""

import pytest
from django.urls import reverse

from breeding.animals.models import Animal

pytestmark = pytest.mark.django_db(transaction=True)

# How far each mark of what presses lies from the middle of the first word that it belongs to.
FROM_ITS_WORD = """() => [...document.querySelectorAll('.now-list .when > .mark')].map(mark => {
    const word = document.createRange();
    const text = mark.nextSibling;
    const first = text.textContent.search(/\\S/);
    word.setStart(text, first); word.setEnd(text, first + 1);
    const [a, b] = [mark.getBoundingClientRect(), word.getBoundingClientRect()];
    return [Math.abs((a.top + a.bottom - b.top - b.bottom) / 2), b.left - a.right];
})"""
SIDES = """() => [...document.querySelectorAll('.card')].map(
    one => getComputedStyle(one)).map(one => one.borderLeftWidth + ' ' + one.borderRightWidth)"""
OF_THE_TREE = """() => { const tree = document.querySelector('.tree').getBoundingClientRect();
    return [...document.querySelectorAll('.tree svg text')].map(one => one.getBoundingClientRect())
        .map(box => [box.height, box.left - tree.left]) }"""

MIDDLES = """() => [...document.querySelectorAll('.tank-picture .disc')].map(
    one => one.getBoundingClientRect()).map(box => (box.top + box.bottom) / 2)"""


@pytest.mark.parametrize("size", ["phone"])
def test_what_a_page_is_opened_for_stands_first(jo):
    """One walk, so that the demo is loaded once."""
    jo.wait_for_load_state("networkidle")
    _a_mark_of_the_day_stands_at_its_first_word(jo)
    _her_season_is_on_the_first_screen_of_her_page(jo)
    _no_part_of_a_page_is_a_box(jo)
    _a_family_tree_can_be_read(jo)
    _save_reaches_from_edge_to_edge(jo)
    _animals_of_one_row_lie_side_by_side(jo)


def _open(page, name, path=""):
    page.goto(Animal.objects.get(call_name=name).get_absolute_url() + path)


def _a_mark_of_the_day_stands_at_its_first_word(page):
    page.goto("/")
    found = page.evaluate(FROM_ITS_WORD)
    assert len(found) >= 8
    assert all(away <= 6 and 0 <= between <= 8 for away, between in found)


def _her_season_is_on_the_first_screen_of_her_page(page):
    _open(page, "Nunki")
    bar = page.locator(".thumb").bounding_box()["y"]
    portrait, name = page.locator(".portrait").bounding_box(), page.locator("h1").bounding_box()
    assert portrait["x"] + portrait["width"] <= name["x"]
    for what in ("Her season", "Separate at the latest.", "Separate from Mizar"):
        box = page.get_by_text(what, exact=True).first.bounding_box()
        assert box["y"] + box["height"] <= bar, what
    _open(page, "Capella")
    box = page.get_by_role("link", name="Separate Capella from Thuban").bounding_box()
    assert box["y"] + box["height"] <= bar


def _no_part_of_a_page_is_a_box(page):
    sides = page.evaluate(SIDES)
    assert len(sides) > 10
    assert set(sides) == {"0px 0px"}


def _a_family_tree_can_be_read(page):
    page.goto(Animal.objects.get(code="26-01-4").get_absolute_url())
    page.locator("summary", has_text="Family tree").click()
    words = page.evaluate(OF_THE_TREE)
    assert len(words) > 10
    assert min(height for height, _ in words) >= 12
    assert min(left for _, left in words) >= 0


def _save_reaches_from_edge_to_edge(page):
    page.goto(reverse("housing:move", args=[Animal.objects.get(call_name="Alula").pk]))
    box = page.locator(".done").first.bounding_box()
    assert (box["x"], box["width"]) == (0, page.viewport_size["width"])


def _animals_of_one_row_lie_side_by_side(page):
    page.goto("/tanks/")
    page.get_by_role("link", name="Keel Pool", exact=True).click()
    page.locator(".tank-picture .disc").first.wait_for()
    page.wait_for_load_state()  # with its styles
    one, other = page.evaluate(MIDDLES)
    assert abs(one - other) < 2
