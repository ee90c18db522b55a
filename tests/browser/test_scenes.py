"""Scenes of harm, walked on a phone: asked before, said in the receipt, kept on the day."""

import datetime

import pytest
import vobject
from django.urls import reverse
from django.utils import timezone

from breeding.agenda.services import open_feed
from breeding.animals.services import add_measurement
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.litters.services import PupFacts, record_birth
from breeding.pairings.species_file import load_species
from breeding.program import clock, services
from tests import cast
from tests.cast import ago, pair, see

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def walker(page):
    """Jo, signed in by a one-time link."""
    load_species()
    owner = cast.owner()
    token = services.make_sign_in_link(
        owner, now=timezone.now(), good_for=datetime.timedelta(hours=1)
    )
    page.goto(f"/link/{token}/")
    page.get_by_role("button", name="Sign in as Jo").click()
    page.get_by_role("link", name="Log", exact=True).first.wait_for()
    return page


@pytest.mark.parametrize("size", ["phone"])
def test_what_harms_is_asked_said_and_kept(walker, snap, size):
    """One walk, so that the program begins once."""
    cast.the_program(rest_days=60)
    pool = Tank.objects.create(name="Boathouse pool")
    _a_male_comes_to_his_dam_and_sisters(walker, snap, pool)
    _where_to_after_a_separation(walker, snap, pool)
    _a_wounded_female_stays_until_healed(walker, snap)
    _a_thin_pup_is_not_offered(walker, snap)
    _past_her_window_stands_on_today_in_the_feed(walker)


def _put(animal, tank, days_ago):
    move_animal(animal, tank, on=ago(days_ago), by=None, sure=cast.SURE, reason="room")


def _day(page):
    """Everything the day says, with what folds opened as by a tap on each."""
    page.goto("/")
    page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    return page.locator("main").inner_text()


def _a_male_comes_to_his_dam_and_sisters(page, snap, pool):
    mira = cast.female("Mira", born_on=ago(3000))
    family = {"dam": mira, "sire": cast.male("Deneb", born_on=ago(3000)), "born_on": ago(1400)}
    altair = cast.male("Altair", **family)
    for one in (mira, cast.female("Vega", **family), cast.female("Lyra", **family)):
        _put(one, pool, 60)
    page.goto(f"/tanks/move/{altair.pk}/")
    page.get_by_label("Boathouse pool").check()
    page.get_by_role("button", name="Move", exact=True).click()
    asked = page.locator("#doubts")
    asked.wait_for()
    for sentence in (
        "Altair and his dam Mira could breed: their young would have F 25 %.",
        "Altair and his full sister Lyra could breed: their young would have F 25 %.",
        "Altair and his full sister Vega could breed: their young would have F 25 %.",
    ):
        assert sentence in asked.inner_text()
    snap(page, "scene-kin")
    page.get_by_label("Why all the same?").fill("one night, behind a net")
    page.get_by_label("It is right as it stands").check()
    page.get_by_role("button", name="Move", exact=True).click()
    page.get_by_text("Altair is in Boathouse pool now.").wait_for()
    assert "his full sister Vega could breed" in page.locator("main").inner_text()
    today = _day(page)
    assert "Altair" in today
    assert "The reason on record: one night, behind a net" in today


def _where_to_after_a_separation(page, snap, pool):
    nursery = Tank.objects.create(name="Nursery bay", kind="nursery")
    dam = cast.female("Nashira", born_on=ago(3000))
    _put(dam, nursery, 20)
    record_birth(dam=dam, born_on=ago(1), pups=[PupFacts()] * 5, today=clock.today(), by=None)
    hers = Tank.objects.create(name="Lantern bay")
    adhara, rigel = cast.female("Adhara"), cast.male("Rigel", born_on=ago(1500))
    for one in (adhara, rigel):
        _put(one, hers, 30)
    couple = pair(adhara, rigel, 30)
    page.goto(f"/pairings/{couple.pk}/separate/")
    proposed = page.locator("fieldset.goto > .rows > label")
    assert not any("Nursery bay" in text for text in proposed.all_inner_texts())
    page.locator("fieldset.goto summary").click()
    snap(page, "scene-where-to")
    page.locator(f"fieldset.goto input[value='{nursery.pk}']").check()
    page.locator("form button.first").last.click()
    page.locator("#doubts").wait_for()
    assert "Rigel joins 5 newborn pups in Nursery bay" in page.locator("#doubts").inner_text()
    page.get_by_label("It is right as it stands").check()
    page.locator("form button.first").last.click()
    page.get_by_text("Adhara and Rigel are apart.").wait_for()
    today = _day(page)
    assert "Rigel is in Nursery bay with 5 newborn pups" in today
    snap(page, "scene-day")


def _a_wounded_female_stays_until_healed(page, snap):
    hurt = cast.female("Izar", born_on=ago(2000))
    see(hurt, 2, "fresh_bite_marks", severity=3)
    today = _day(page)
    assert "Izar" in today
    assert "look at the marks again" in today.lower()
    snap(page, "scene-wound")
    see(hurt, 0, "healing_marks", severity=0)
    assert "look at the marks again" not in _day(page).lower()


def _a_thin_pup_is_not_offered(page, snap):
    dam = cast.female("Capella", pure="motoro", born_on=ago(3000))
    litter = record_birth(
        dam=dam, born_on=ago(120), pups=[PupFacts()] * 2, today=clock.today(), by=None
    )
    well, thin = (pup.animal for pup in litter.pups.order_by("number"))
    for pup, condition in ((well, 3), (thin, 1)):
        add_measurement(pup, by=None, on=ago(1), disc_width_mm=180, condition=condition)
    assert f"1 of 2 pups is old and large enough to leave: {well.name}." in _day(page)
    page.goto(litter.get_absolute_url())
    assert "condition 3 or better (1 of 5" in page.locator("main").inner_text()
    snap(page, "scene-thin-pup")


def _past_her_window_stands_on_today_in_the_feed(page):
    female, male = cast.female("Electra", pure="motoro"), cast.male("Atlas", pure="motoro")
    pair(female, male, 146, 145)
    for days in (146, 145):
        see(female, days, male=male)
    token = open_feed(cast.keeper(), now=clock.now())
    found = vobject.readOne(page.request.get(reverse("agenda:feed", args=[token])).text())
    (late,) = (
        one
        for one in found.contents["vevent"]
        if "Electra" in one.summary.value and "past her window" in one.summary.value
    )
    assert late.dtstart.value <= clock.today() < late.dtend.value
