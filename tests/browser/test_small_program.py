"""A new program from the first link to a buyer's page, by clicking only."""

import datetime

import pytest
from django.urls import reverse
from django.utils import timezone

from breeding.pairings.species_file import load_species
from breeding.program import services

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_new_program_is_set_up_and_writes_down_its_first_animals(page, snap):
    load_species()
    token = services.make_sign_in_link(
        None, now=timezone.now(), good_for=datetime.timedelta(hours=1)
    )
    page.goto(reverse("program:link", args=[token]))
    here = page.evaluate("Intl.DateTimeFormat().resolvedOptions().timeZone")
    assert page.locator("[name=time_zone]").input_value() == here  # proposed, not asked
    page.get_by_label("What is the program called?").fill("Lantern Street Rays")
    page.get_by_label("Your name, as others read it").fill("Jo")
    page.get_by_label("Name to sign in with").fill("jo")
    page.get_by_label("Password").fill("a-lantern-in-fog")
    snap(page, "set-up")
    page.get_by_role("button", name="Begin").click()
    snap(page, "first-day")
    page.get_by_role("link", name="Write down the first animal").click()
    page.get_by_label("Call name").fill("Mira")
    page.get_by_label("Sex").select_option("F")
    page.get_by_label("Born").fill("2021-05")
    page.get_by_label("Species", exact=True).select_option(label="Potamotrygon motoro")
    snap(page, "new-animal")
    page.get_by_role("button", name="Write down").click()
    page.get_by_role("heading", name="Mira").wait_for()
    assert "May 2021" in page.locator("dl.facts").first.inner_text()
    snap(page, "animal")
    page.goto(reverse("animals:index"))
    snap(page, "animals")
    assert page.get_by_role("link", name="Mira").count() == 1
