"""Strains on a page of their own: written down, joined to another, and put back again."""

import pytest
from django.urls import reverse

from breeding.animals.models import Animal, Strain
from breeding.animals.species.strains import add_strain, change_strain
from breeding.buyers.models import Wish
from breeding.buyers.services import add_contact
from breeding.buyers.waiting import add_wish
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db
STRAINS = reverse("animals:strains")


def test_a_strain_is_written_down_with_its_species_and_its_look(as_keeper):
    motoro = cast.species("motoro")
    sent = {"name": "Paper Lantern", "species": motoro.pk, "description": "pale, with rings"}
    page = as_keeper.post(reverse("animals:new_strain"), sent, follow=True)
    assert "The strain Paper Lantern is written down." in words(page)
    strain = Strain.objects.get()
    assert (strain.species, strain.description) == (motoro, "pale, with rings")
    assert strain.recorded_by.username == "sam"
    assert "pale, with rings" in words(as_keeper.get(STRAINS))


def test_two_strains_are_not_called_the_same_whatever_the_letters(as_keeper):
    add_strain(by=None, name="Paper Lantern")
    page = as_keeper.post(reverse("animals:new_strain"), {"name": "paper LANTERN"})
    said = "“Paper Lantern” is on record already; choose another name."
    assert page.context["form"].errors["name"] == [said]


def test_the_page_counts_the_animals_of_each_and_leaves_out_the_withdrawn(as_keeper):
    pale = add_strain(by=None, name="Paper Lantern")
    cast.female("Mira", strain=pale)
    assert "1 animal" in words(as_keeper.get(STRAINS))


def test_a_strain_with_animals_is_joined_and_not_withdrawn(as_keeper):
    pale, twice = (add_strain(by=None, name=name) for name in ("Paper Lantern", "Paperlantern"))
    mira = cast.female("Mira", strain=twice)
    wish = add_wish(add_contact(by=None, name="Kim"), by=None, wished_on=cast.ago(1), strain=twice)
    address = reverse("program:withdraw", args=["strain", twice.pk])
    page = words(as_keeper.post(address, {"reason": "twice"}))
    assert "Paperlantern cannot be withdrawn, because" in page
    assert "animal “Mira”" in page
    join = reverse("animals:join_strain", args=[twice.pk])
    assert f'<a href="{join}">join it to the other</a>' in page
    page = as_keeper.post(join, {"into": pale.pk}, follow=True)
    assert "2 records of Paperlantern went to Paper Lantern." in words(page)
    assert Animal.objects.get(pk=mira.pk).strain == pale
    assert Wish.objects.get(pk=wish.pk).strain == pale
    assert Strain.every.get(pk=twice.pk).withdrawn_reason == "joined to Paper Lantern"


def test_one_is_joined_to_nothing_withdrawn_and_not_to_itself(as_keeper):
    pale = add_strain(by=None, name="Paper Lantern")
    page = as_keeper.post(reverse("animals:join_strain", args=[pale.pk]), {"into": pale.pk})
    assert "into" in page.context["form"].errors
    assert not Strain.every.get(pk=pale.pk).is_withdrawn


def test_a_name_that_was_taken_meanwhile_is_said_when_it_is_brought_back(as_keeper):
    pale = add_strain(by=None, name="Paper Lantern")
    as_keeper.post(reverse("program:withdraw", args=["strain", pale.pk]), {"reason": "slip"})
    add_strain(by=None, name="Paper Lantern")
    page = as_keeper.post(reverse("program:bring_back", args=["strain", pale.pk]))
    assert "“Paper Lantern” is on record already" in words(page)
    assert Strain.every.get(pk=pale.pk).is_withdrawn


def test_what_a_strain_has_not_is_an_error_of_the_code():
    with pytest.raises(ValueError, match="no 'colour'"):
        change_strain(Strain(name="Ember"), colour="red")
