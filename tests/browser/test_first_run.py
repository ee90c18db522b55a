"""From an empty program to the first pairing and the first sighting, led on by every page.

Ten minutes are enough for somebody who types with two fingers and reads every word above what is
tapped; the figures are those of `thumb.py`, the walk is this one.
"""

import datetime

import pytest
from django.urls import reverse
from django.utils import timezone

from breeding.pairings.models import Pairing, Sighting
from breeding.pairings.species_file import load_species
from breeding.program import services
from tests.browser.thumb import Thumb

pytestmark = pytest.mark.django_db(transaction=True)

MOST_TAPS = 36
MOST_TYPED = 7
TEN_MINUTES = 600  # seconds
# Pages that are of no use before there is anything; each says what comes first.
EMPTY = (
    "animals:index",
    "litters:index",
    "pairings:index",
    "pairings:new",
    "pairings:season",
    "pairings:log",
    "pairings:log_fed",
    "pairings:log_weighed",
    "pairings:log_water",
    "pairings:log_note",
    "feeding:index",
    "planning:index",
    "planning:season",
    "buyers:index",
    "sheets:index",
    "agenda:cards",
)


def test_from_an_empty_program_to_the_first_pairing_led_by_what_next(page, snap):
    load_species()
    token = services.make_sign_in_link(
        None, now=timezone.now(), good_for=datetime.timedelta(hours=1)
    )
    thumb = Thumb(page)
    page.goto(reverse("program:link", args=[token]))
    thumb.write(page.get_by_label("What is the program called?"), "Lantern Street Rays")
    thumb.write(page.get_by_label("Your name, as others read it"), "Jo")
    thumb.write(page.get_by_label("Name to sign in with"), "jo")
    thumb.write(page.get_by_label("Password"), "a-lantern-in-fog")
    thumb.tap(page.get_by_role("button", name="Begin"))
    page.get_by_role("heading", name="What next").wait_for()
    assert "0 animals" not in page.inner_text("main")
    snap(page, "first-run-day")
    _empty_pages_say_what_comes_next(page, snap)
    _a_tank_and_two_animals(page, thumb)
    _both_move_in(page, thumb)
    _together_and_seen(page, thumb, snap)
    print(f"\nfirst run: {thumb}, {thumb.pace}: {thumb.pace.seconds:.0f} s")
    assert thumb.taps <= MOST_TAPS
    assert thumb.typed <= MOST_TYPED
    assert thumb.pace.seconds < TEN_MINUTES
    page.goto(reverse("agenda:day"))
    assert page.get_by_role("heading", name="What next").count() == 0


def _empty_pages_say_what_comes_next(page, snap):
    for route in EMPTY:
        page.goto(reverse(route))
        if route == "pairings:new":
            snap(page, "first-run-nobody-yet")
        led_on = page.locator("main").get_by_text("What next").count()
        assert led_on == 1, route
    page.goto(reverse("agenda:day"))


def _next(page, words):
    """The step that comes next, on the front page or beside what was just done."""
    return page.locator(".first-steps, .receipt").get_by_role("link", name=words)


def _a_tank_and_two_animals(page, thumb):
    thumb.tap(_next(page, "Write down a tank"))
    thumb.write(page.get_by_label("Name", exact=True), "Harbour")
    thumb.tap(page.get_by_role("button", name="Write down"))
    thumb.tap(_next(page, "Write down the first animal"))
    thumb.write(page.get_by_label("Call name"), "Mira")
    thumb.choose(page.get_by_label("Sex"), value="F")
    thumb.choose(page.get_by_label("Species", exact=True), label="Potamotrygon motoro")
    thumb.tap(page.get_by_role("button", name="Write down"))
    thumb.tap(_next(page, "Have a male and a female on record"))
    thumb.write(page.get_by_label("Call name"), "Deneb")
    thumb.choose(page.get_by_label("Sex"), value="M")
    thumb.choose(page.get_by_label("Species", exact=True), label="Potamotrygon motoro")
    thumb.tap(page.get_by_role("button", name="Write down"))


def _both_move_in(page, thumb):
    thumb.tap(_next(page, "Say who lives in which tank"))
    thumb.tap(page.get_by_role("link", name="Move in: Mira"))
    assert page.get_by_role("radio", name="Harbour").is_checked()  # there is no other
    thumb.tap(page.get_by_role("button", name="Move", exact=True))
    page.get_by_text("Mira is in Harbour now.").wait_for()
    page.goto(reverse("housing:index"))
    thumb.taps += 2  # by More and Tanks
    thumb.tap(page.get_by_role("link", name="Move in: Deneb"))
    thumb.tap(page.get_by_role("button", name="Move", exact=True))
    page.get_by_text("Deneb is in Harbour now.").wait_for()


def _together_and_seen(page, thumb, snap):
    thumb.tap(_next(page, "Put two together"))
    thumb.tap(page.get_by_role("button", name="Look at this pair first"))
    snap(page, "first-run-pair")
    thumb.tap(page.get_by_role("button", name="Put them together"))
    page.get_by_role("heading", name="Mira and Deneb").wait_for()
    snap(page, "first-run-paired")
    assert Pairing.objects.count() == 1
    thumb.tap(_next(page, "Log the first thing you see"))
    thumb.tap(page.locator("label.tile", has_text="Mira"))
    thumb.tap(page.locator("label.tile", has_text="Following"))
    thumb.tap(page.get_by_role("button", name="Save: Mira, Following, with Deneb, now"))
    page.get_by_role("heading", name="Written down").wait_for()
    assert Sighting.objects.count() == 1
