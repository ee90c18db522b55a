"""A comma typed in an English browser arrives as it was typed."""

import datetime

import pytest
from django.urls import reverse
from django.utils import timezone

from breeding.animals.models import Measurement
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.pairings.species_file import load_species
from breeding.program import clock, services
from breeding.program.models import Person
from tests import cast

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def lyra(page):
    """A pup, and Jo signed in; Chromium speaks English here, as it comes."""
    load_species()
    token = services.make_sign_in_link(
        cast.owner(), now=timezone.now(), good_for=datetime.timedelta(hours=1)
    )
    lyra = cast.female("Lyra")
    page.goto(f"/link/{token}/")
    page.get_by_role("button", name="Sign in as").click()
    page.goto(f"/animals/{lyra.pk}/measure/")
    assert page.evaluate("navigator.language").startswith("en")
    return lyra


@pytest.mark.parametrize("typed", ["10,5", "10.5", "10,5 cm"])
def test_ten_and_a_half_centimetres_are_105_millimetres(page, lyra, typed):
    field = page.get_by_label("Disc width in cm")
    field.press_sequentially(typed)
    page.get_by_role("button", name="Save").click()
    page.get_by_text("10.5 cm").locator("visible=true").first.wait_for()
    assert Measurement.objects.get(animal=lyra).disc_width_mm == 105


def test_what_hardly_follows_is_asked_once_and_kept_with_a_tick(page, lyra, snap):
    page.get_by_label("Disc width in cm").press_sequentially("42")
    page.get_by_label("Weight in grams").press_sequentially("42")
    page.get_by_role("button", name="Save").click()
    page.get_by_text("about 3.32 kg would be usual").wait_for()
    assert Measurement.objects.count() == 0
    assert page.get_by_label("Weight in grams").input_value() == "42"
    snap(page, "asked-once")
    page.get_by_label("It is right as it stands").check()
    page.get_by_role("button", name="Save").click()
    page.get_by_text("is measured").first.wait_for()
    assert Measurement.objects.get(animal=lyra).weight_g == 42


def test_a_table_of_weights_marks_a_slip_in_the_language_of_who_types(page, owner_reads_german):
    page.get_by_role("button", name="0 von 1 speichern").wait_for()
    page.get_by_label("Breite von Lyra").press_sequentially("9,5")
    page.get_by_text("9,5 cm? Am 20. Feb. waren es 31,0 cm.").wait_for()
    page.get_by_role("button", name="1 von 1 speichern, 1 davon noch einmal ansehen").wait_for()


@pytest.fixture
def owner_reads_german(page, lyra):
    Person.objects.update(language="de")
    pond = Tank.objects.create(name="Pond", kind="breeding")
    day = datetime.date(clock.today().year - 1, 2, 20)
    move_animal(lyra, pond, on=day, by=None, sure=cast.SURE)
    Measurement.objects.create(animal=lyra, on=day, disc_width_mm=310)
    page.goto(reverse("housing:weigh", args=[pond.pk]))
