"""A keeper's week in the demo program, clicked through on a phone and on a desk."""

import io
import re

import pytest
from pypdf import PdfReader

from breeding.animals.models import Animal
from breeding.litters.models import Litter
from breeding.pairings.models import Pairing, Sighting
from breeding.program import clock
from breeding.sheets.models import Sheet

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_week_in_the_demo(jo, snap, size):
    """One long walk, each step on what those before have written."""
    _animals(jo, snap)
    _pairing(jo, snap)
    _sighting_in_three_taps(jo, snap)
    _due_window(jo, snap)
    _the_day(jo, snap)
    _birth(jo, snap)
    _sheet(jo, snap)


def _animals(page, snap):
    page.goto("/animals/")
    page.get_by_label("Search").fill("adhara")
    page.get_by_role("button", name="Show").click()
    page.get_by_role("link", name="Adhara", exact=True).click()
    page.get_by_role("heading", name="Family tree").wait_for()
    assert page.locator("svg.family-tree, .tree svg").count() >= 1
    snap(page, "walk-animal")
    page.get_by_role("link", name="Measure").click()
    page.get_by_label("Disc width in cm").fill("531")
    page.get_by_role("button", name="Save").click()
    assert "allowed is 1 to 300 cm" in page.locator(".errorlist").first.inner_text()
    page.get_by_label("Disc width in cm").fill("53.1")
    page.get_by_role("button", name="Save").click()
    page.get_by_text("53.1 cm").locator("visible=true").first.wait_for()


def _pairing(page, snap):
    """Two full siblings: the page stops, and goes on with a reason."""
    brother, sister = _close_pair()
    page.goto(f"/pairings/new/?female={sister.pk}")
    page.get_by_label("Male", exact=True).select_option(str(brother.pk))
    page.get_by_role("button", name="Look at this pair first").click()
    page.get_by_text("Too close to go on without a reason.").wait_for()
    top = page.locator("#pair").evaluate("card => card.getBoundingClientRect().top / innerHeight")
    assert -0.01 < top < 0.6, "what is said of the pair is on the screen"
    snap(page, "walk-pair-too-close")
    page.get_by_role("button", name="Put them together all the same").click()
    page.locator(".wrong").wait_for()
    assert "asks for a reason" in page.locator("main").inner_text()
    page.get_by_label("Why these two all the same?").fill("Last chance to keep this line.")
    page.get_by_role("button", name="Put them together all the same").click()
    # He moves to her, and there are others of his kin in that water.
    page.get_by_label("Why all the same?").fill("They are parted when the pups come.")
    page.get_by_label("It is right as it stands").check()
    snap(page, "walk-pair-asked")
    page.get_by_role("button", name="Put them together all the same").click()
    page.wait_for_url(re.compile(r"/pairings/\d+/$"))
    page.get_by_text("Last chance to keep this line.").wait_for()
    snap(page, "walk-pairing")
    pairing = Pairing.objects.get(female=sister, male=brother, separated_on=None)
    assert pairing.reason == "Last chance to keep this line."
    assert pairing.inbreeding_expected >= 0.125


def _close_pair():
    """A brother and a sister that are both here and not together."""
    together = Pairing.objects.filter(separated_on=None).values_list("female_id", "male_id")
    sisters = Animal.objects.filter(sex="F", state="here", sire__isnull=False, dam__isnull=False)
    for sister in sisters:
        for brother in Animal.objects.filter(
            sex="M", state="here", sire=sister.sire, dam=sister.dam
        ):
            if (sister.pk, brother.pk) not in together:
                return brother, sister
    raise AssertionError("The demo has no brother and sister to be too close.")


def _sighting_in_three_taps(page, snap):
    before = Sighting.objects.count()
    page.goto("/")
    page.locator(".quick a").first.click()  # one: which female
    page.locator("label.tile", has_text=re.compile(r"^\s*Mating\s*$")).click()  # two: what was seen
    snap(page, "walk-log")
    page.get_by_role("button", name="Save: ").click()  # three: done, and it says what
    page.get_by_text("Chance that she is pregnant").wait_for()
    assert Sighting.objects.count() == before + 1
    assert Sighting.objects.latest("pk").kind.key == "copulation"


def _due_window(page, snap):
    page.goto("/")
    line = page.locator("li.entry", has_text="Adhara").filter(has_text="watch daily")
    line.locator("summary").first.click()
    line.get_by_role("link", name="Open the page of Adhara").click()
    page.get_by_text("Due window").wait_for()
    text = page.locator("main").inner_text()
    assert "9 of 10 births would fall within it" in text
    assert "mating seen" in text
    assert page.locator("svg.season:visible").count() == 1
    snap(page, "walk-season")


def _the_day(page, snap):
    page.goto("/")
    snap(page, "walk-day")
    line = page.locator("li.entry", has_text="past her window")
    if not line.get_by_text("Done, or not now").is_visible():  # the reasons fold on a phone
        line.locator("summary").first.click()
    line.get_by_text("Done, or not now").click()
    line.get_by_label("Note").fill("The veterinarian comes on Friday.")
    line.get_by_role("button", name="Put it off").click()
    page.get_by_text("It stands below under").wait_for()
    page.wait_for_load_state()
    assert page.locator("li.entry", has_text="past her window").count() == 0
    if not page.get_by_text("The veterinarian comes on Friday.").is_visible():
        page.get_by_text("Answered (").click()
    page.get_by_text("The veterinarian comes on Friday.").wait_for()


def _birth(page, snap):
    page.goto("/")
    line = page.locator("li.entry", has_text="Adhara").filter(has_text="watch daily")
    line.locator("summary").first.click()
    line.get_by_role("link", name="She has pups").click()
    page.get_by_role("link", name="The whole litter on one page").click()
    page.locator("#id_pups-0-fate").select_option("alive")
    page.locator("#id_pups-0-sex").select_option("F")
    page.locator("#id_pups-0-disc_width_mm").fill("9.4")
    page.locator("#id_pups-1-sex").select_option("M")
    page.get_by_role("button", name="Record the birth").click()
    page.get_by_text("Say whether this pup is alive or dead.").first.wait_for()
    page.locator("#id_pups-1-fate").select_option("dead")
    snap(page, "walk-birth")
    page.get_by_role("button", name="Record the birth").click()
    page.get_by_role("link", name="To the litter").click()
    page.get_by_text("days from mating").wait_for()
    snap(page, "walk-litter")
    litter = Litter.objects.latest("pk")
    assert litter.dam.call_name == "Adhara"
    assert litter.born_on == clock.today()
    pup = Animal.objects.get(pup_rows__litter=litter)
    assert (pup.code, pup.dam, pup.sex) == (f"{litter.code}-1", litter.dam, "F")
    assert pup.sire is not None


def _sheet(page, snap):
    pup = Animal.objects.filter(pup_rows__litter=Litter.objects.latest("pk")).get()
    page.goto(f"/animals/{pup.pk}/")
    page.get_by_role("link", name=re.compile("parentage sheet", re.IGNORECASE)).click()
    snap(page, "walk-sheet-preview")
    page.get_by_role("button", name=re.compile("issue", re.IGNORECASE)).click()
    page.wait_for_url(re.compile(r"/sheets/\d+/$"))
    snap(page, "walk-sheet")
    assert "spine" in page.locator("main").inner_text()
    sheet = Sheet.objects.latest("pk")
    answer = page.request.get(f"/sheets/{sheet.pk}/pdf/")
    assert answer.status == 200
    words = "".join(part.extract_text() for part in PdfReader(io.BytesIO(answer.body())).pages)
    assert pup.code in words
    assert "Adhara" in words
