"""From a wound to the pups, by clicking alone, on a phone and on a desk."""

import datetime
import re

import pytest
from django.utils import timezone

from breeding.animals.models import Animal
from breeding.housing.models import Tank
from breeding.housing.queries import where_are
from breeding.housing.services import move_animal
from breeding.litters.models import Litter
from breeding.pairings.models import NurseryTick, Pairing, Scan, Sighting, SignKind
from breeding.pairings.services import log_sighting, open_pairing
from breeding.pairings.species_file import load_species
from breeding.program import clock, services
from breeding.program.queries import the_program
from tests import cast

pytestmark = pytest.mark.django_db(transaction=True)

MATED_DAYS_AGO = 110  # the middle of the assumed gestation: a birth today surprises nobody


@pytest.fixture
def walker(page):
    """Jo, with Mira and Deneb together in the Bow, a mating seen, and free tanks."""
    load_species()
    jo = cast.owner()
    mira, deneb = cast.female("Mira", pure="motoro"), cast.male("Deneb", pure="motoro")
    tanks = {}
    for name, kind, can_divide in (
        ("Bow", "breeding", True),
        ("Galley", "nursery", True),
        ("Stern", "other", False),
        ("Boat Loft", "other", False),
    ):
        tanks[name] = Tank.objects.create(name=name, kind=kind, can_divide=can_divide)
    now = clock.now()
    together = clock.today() - datetime.timedelta(days=MATED_DAYS_AGO + 5)
    for animal in (mira, deneb):
        move_animal(animal, tanks["Bow"], on=together, by=jo)
    open_pairing(
        female=mira,
        male=deneb,
        introduced_on=together,
        program=the_program(),
        by=jo,
        today=clock.today(),
    )
    log_sighting(
        female=mira,
        kind=SignKind.objects.get(key="copulation"),
        seen_at=now - datetime.timedelta(days=MATED_DAYS_AGO),
        now=now,
        by=jo,
        male=deneb,
    )
    token = services.make_sign_in_link(jo, now=timezone.now(), good_for=datetime.timedelta(hours=1))
    page.goto(f"/link/{token}/")
    page.get_by_role("button", name="Sign in as").click()
    page.get_by_role("link", name=re.compile(r"^Log( a sighting)?$")).first.wait_for()
    return page


def test_from_a_wound_to_the_pups(walker, snap):
    _log_open_wounds(walker, snap)
    _separate_as_the_day_says(walker, snap)
    _scan(walker, snap)
    _nursery(walker, snap)
    _close_the_divider(walker, snap)
    _move_him_on(walker)
    _birth(walker, snap)


def _home(page):
    """The day, drawn: a tap alone goes on while the page it left is still the one asked."""
    page.locator("nav a:visible, header a:visible").filter(
        has_text=re.compile("^Day$")
    ).first.click()
    page.wait_for_url(re.compile(r"//[^/]+/$"))


def _log_open_wounds(page, snap):
    page.get_by_role("link", name=re.compile(r"^Log( a sighting)?$")).first.click()
    page.locator("label.tile", has_text="Mira").click()
    page.locator("label.tile", has_text=re.compile(r"^\s*Fresh bite marks\s*$")).click()
    page.locator("label.degree", has_text="3, open").click()
    snap(page, "year-log")
    page.get_by_role("button", name="Save: ").click()
    page.get_by_text("Injury of severity 3").first.wait_for()
    seen = Sighting.objects.latest("pk")
    assert (seen.kind.key, seen.severity, seen.female.name) == ("fresh_bite_marks", 3, "Mira")


def _separate_as_the_day_says(page, snap):
    _home(page)
    line = page.locator("li.entry", has_text="separate from Deneb now")
    if not line.get_by_text("Injury of severity 3").is_visible():  # the reason folds on a phone
        line.locator("summary").first.click()
    assert "Injury of severity 3" in line.inner_text()
    snap(page, "year-day-separate-now")
    line.get_by_role("link", name="Deneb is apart").first.click()
    page.locator("label.row", has_text="Deneb, the male").click()
    page.locator("label.row", has_text="Stern").click()
    snap(page, "year-separate")
    page.get_by_role("button", name="Save the separation").click()
    page.get_by_text("the male was moved").first.wait_for()
    snap(page, "year-separated")
    apart = Pairing.objects.get()
    assert (apart.separated_on, apart.moved, str(apart.moved_to)) == (
        clock.today(),
        "male",
        "Stern",
    )
    assert _places() == {"Mira": "Bow", "Deneb": "Stern"}
    _home(page)
    assert page.locator("li.entry", has_text="separate from Deneb now").count() == 0


def _places():
    return {stay.animal.name: stay.place for stay in where_are(Animal.objects.all()).values()}


def _season(page):
    _home(page)
    line = page.locator("li.entry", has_text="Mira").first
    if not line.get_by_role("link", name="Open the page of Mira").is_visible():
        line.locator("summary").first.click()
    line.get_by_role("link", name="Open the page of Mira").click()
    page.get_by_role("heading", name="Mira's season").wait_for()


def _scan(page, snap):
    _season(page)
    page.get_by_role("link", name="Scan", exact=True).click()
    page.get_by_label("pups seen").check()
    page.get_by_label("Done by").fill("Dr Linnet")
    snap(page, "year-scan")
    page.get_by_role("button", name="Save").click()
    page.get_by_text("Dr Linnet").first.wait_for()
    scan = Scan.objects.get()
    assert (scan.positive, scan.on, scan.done_by) == (True, clock.today(), "Dr Linnet")


def _nursery(page, snap):
    _season(page)
    page.get_by_role("link", name="Nursery list").first.click()
    page.get_by_role("button", name="Choose Galley").click()
    for point in ("tank cycled", "divider in", "food for the pups ready", "males away"):
        page.get_by_role("button", name=f"Tick {point}").click()
        page.get_by_role("button", name=f"Take back {point}").wait_for()
    snap(page, "year-nursery")
    assert "6 of 7 seen to; open: water fit" in page.locator("h1").inner_text()
    ticked = NurseryTick.objects.filter(female__call_name="Mira", withdrawn_at=None)
    assert sorted(ticked.values_list("item", flat=True)) == [
        "cycled",
        "divider",
        "food",
        "males",
        "tank",
    ]


def _close_the_divider(page, snap):
    """The pups are to have a side of their own."""
    page.goto(Tank.objects.get(name="Bow").get_absolute_url())
    page.get_by_role("link", name=re.compile("close the divider", re.IGNORECASE)).first.click()
    page.locator("label.tile", has_text="Left").click()
    snap(page, "year-divider")
    page.get_by_role("button", name="Close the divider").click()
    page.get_by_text("left side").first.wait_for()
    assert _places()["Mira"] == "Bow, left side"


def _move_him_on(page):
    page.goto(Animal.objects.get(call_name="Deneb").get_absolute_url())
    page.get_by_role("link", name=re.compile("^Move", re.IGNORECASE)).first.click()
    page.locator("label.tile", has_text="Boat Loft").click()
    page.get_by_role("button", name="Move").click()
    page.wait_for_url("**/animals/*/")
    assert _places() == {"Mira": "Bow, left side", "Deneb": "Boat Loft"}


def _birth(page, snap):
    _season(page)
    page.get_by_role("link", name="She has pups").first.click()
    page.get_by_role("link", name="The whole litter on one page").click()
    for row, (fate, sex) in enumerate((("alive", "F"), ("alive", "M"), ("dead", "F"))):
        page.locator(f"#id_pups-{row}-fate").select_option(fate)
        page.locator(f"#id_pups-{row}-sex").select_option(sex)
    snap(page, "year-birth")
    page.get_by_role("button", name="Record the birth").click()
    page.get_by_role("button", name="Pups and males are apart").click()
    page.get_by_text("ticked on").wait_for()
    snap(page, "year-after-the-birth")
    assert NurseryTick.objects.filter(item="apart", outcome__female__call_name="Mira").count() == 1
    page.get_by_role("link", name="To the litter").click()
    page.get_by_text("days from mating").first.wait_for()
    snap(page, "year-litter")
    litter = Litter.objects.get()
    assert (litter.dam.name, litter.born_on) == ("Mira", clock.today())
    young = Animal.objects.filter(pup_rows__litter=litter)
    assert {one.sire.name for one in young} == {"Deneb"}
    assert sorted(one.sex for one in young) == ["F", "M"]
    assert litter.pups.count() == 3
    assert litter.outcome.kind == "some_dead"
