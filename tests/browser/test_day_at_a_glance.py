"""The demo's front page on a phone: one screen, three taps, and nothing jumps."""

import re

import pytest

from breeding.animals.models import Animal
from breeding.pairings.models import Sighting

pytestmark = pytest.mark.django_db(transaction=True)

SCREEN = 844
LONGEST = 2000
LONG_AGO = 10_347  # what it was when everything stood open


@pytest.mark.parametrize("size", ["phone"])
def test_the_day_at_a_glance_and_three_taps_for_anybody(jo, snap, size):
    """One walk, so that the demo is loaded once."""
    _the_first_screen_holds_all_of_now(jo, snap)
    _reasons_are_one_tap_away(jo)
    _a_line_that_is_done_goes_and_nothing_jumps(jo)
    _three_taps_for_whoever_comes_last(jo)
    _a_second_tap_on_save_stays_on_the_receipt(jo, snap)
    _on_paper_the_reasons_stand(jo)


def _the_first_screen_holds_all_of_now(page, snap):
    page.goto("/")
    snap(page, "day-at-a-glance")
    assert page.evaluate("document.documentElement.scrollHeight") < LONGEST < LONG_AGO
    bar = page.locator(".thumb").bounding_box()["y"]
    rows = page.locator(".now-list").first.locator("> li").all()
    assert len(rows) >= 8
    for row in rows:
        box = row.bounding_box()
        assert box["y"] + box["height"] <= min(bar, SCREEN)
        assert row.locator(".act.first:visible").count() == 1
        assert row.locator(".when").first.inner_text().strip()


def _reasons_are_one_tap_away(page):
    line = page.locator("li.entry", has_text="past her window").first
    assert not line.locator(".reason").is_visible()
    line.locator("summary").first.click()
    assert "veterinarian" in line.locator(".reason").inner_text()


def _a_line_that_is_done_goes_and_nothing_jumps(page):
    page.goto("/")
    page.evaluate("window.scrollTo(0, 200)")
    page.locator("li.entry", has_text="tank worms").get_by_role("button", name="Done").click()
    page.locator(".receipt").get_by_text("order tank worms").wait_for()
    assert page.locator("li.entry", has_text="tank worms").count() == 0
    assert page.evaluate("window.scrollY") == 200
    page.locator(".receipt").get_by_role("button", name="Undo").click()
    page.locator("li.entry", has_text="tank worms").wait_for()


def _three_taps_for_whoever_comes_last(page):
    page.goto("/")
    last = page.locator(".strip a:not(.tank)").last
    named = last.inner_text().strip()
    count = Sighting.objects.count()
    assert (
        page.locator(".strip a:not(.tank)").count()
        == Animal.objects.filter(state__in=("here", "on_loan")).count()
    )
    last.click()  # one
    page.locator("label.tile", has_text=re.compile(r"^\s*Off food\s*$")).click()  # two
    page.get_by_role("button", name=f"Save: {named}, Off food, now").click()  # three
    page.get_by_role("heading", name="Written down").wait_for()
    assert Sighting.objects.count() == count + 1
    assert Sighting.objects.latest("pk").female.name == named


def _a_second_tap_on_save_stays_on_the_receipt(page, snap):
    page.goto("/pairings/log/")
    page.locator("label.tile", has_text=re.compile(r"^\s*Izar")).click()
    assert not page.locator("label.tile", has_text="Capella").is_visible()  # who folds
    page.locator("label.tile", has_text=re.compile(r"^\s*Following\s*$")).click()
    save = page.get_by_role("button", name="Save: Izar, Following, with Castor, now")
    snap(page, "log-one")
    box = save.bounding_box()
    save.click()
    page.get_by_role("heading", name="Written down").wait_for()
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.wait_for_timeout(300)
    assert "/pairings/logged/" in page.url
    snap(page, "logged")
    page.get_by_role("button", name="Undo").wait_for()
    assert Sighting.objects.latest("pk").male.name == "Castor"


def _on_paper_the_reasons_stand(page):
    page.goto("/")
    page.emulate_media(media="print")
    reason = page.locator("li.entry", has_text="past her window").first.locator(".reason")
    assert reason.is_visible()
    page.emulate_media(media="screen")
