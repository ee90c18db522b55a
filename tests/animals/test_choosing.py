"""An animal is chosen from a list while that is short, else by its name or its code."""

import pytest
from django.urls import reverse

from breeding.animals.forms import AnimalForm
from breeding.animals.models import Animal
from breeding.animals.typed import choosing
from breeding.animals.typed.choosing import beginning_with, named
from tests import cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def family(species_data):
    return [cast.male("Deneb"), cast.male("Altair"), cast.female("Mira"), cast.female("Vega")]


@pytest.fixture
def many(family, monkeypatch):
    """Two males to choose from, where more than one are too many for a list."""
    monkeypatch.setattr(choosing, "MOST_LISTED", 1)
    return family


def sent(**typed):
    data = {"call_name": "Lyra", "sex": "F", "origin": "here", "state": "here", "born": ""}
    return AnimalForm(data | typed, today=cast.day("2026-03-01"))


def test_a_few_are_a_list(family):
    page = str(AnimalForm(today=cast.day("2026-03-01"))["sire"])
    assert "<select" in page
    assert page.count("<option") == 3  # two males, and unknown


def test_many_are_asked_for_by_name(many):
    page = str(AnimalForm(today=cast.day("2026-03-01"))["sire"])
    assert "<option" not in page
    assert f'data-names="{reverse("animals:named")}"' in page


@pytest.mark.parametrize(
    "write",
    [
        lambda one: one.full_name,
        lambda one: one.code.lower(),
        lambda one: f" {one.call_name} ",
        lambda one: one.pk,
    ],
)
def test_a_name_a_code_both_and_the_key_lead_to_the_animal(many, write):
    form = sent(sire=write(many[0]))
    assert form.is_valid(), form.errors
    assert form.cleaned_data["sire"] == many[0]


def test_nobody_named_is_nobody(many):
    form = sent(sire="")
    assert form.is_valid(), form.errors
    assert form.cleaned_data["sire"] is None


def test_an_unknown_name_is_refused_with_those_that_begin_like_it(many):
    form = sent(sire="Denab")
    assert form.errors["sire"] == [
        "Nobody who can be chosen here is called “Denab”. Write a name or a code, such as "
        f"{many[0].full_name}."
    ]
    assert 'value="Denab"' in str(form["sire"])


def test_a_female_is_no_sire(many):
    assert "Nobody who can be chosen here" in sent(sire="Mira").errors["sire"][0]


def test_a_name_that_two_bear_asks_for_the_code(many):
    twin = cast.male("Deneb")
    said = sent(sire="Deneb").errors["sire"][0]
    assert said.endswith("Write the code.")
    assert many[0].full_name in said
    assert twin.full_name in said
    assert sent(sire=twin.full_name).is_valid()


def test_a_code_comes_before_a_name_and_before_a_key(many):
    other = cast.male("Rigel")
    Animal.objects.filter(pk=other.pk).update(code=str(many[0].pk))
    assert named(Animal.objects.all(), str(many[0].pk)) == [other]
    assert sent(sire=str(many[0].pk)).fields["sire"].queryset.count() == 3
    form = sent(sire=str(many[0].pk))
    assert form.is_valid(), form.errors
    assert form.cleaned_data["sire"] == other


def test_what_is_on_record_is_shown_as_it_is_written(many):
    pup = cast.female("Lyra", sire=many[0])
    form = AnimalForm(instance=pup, today=cast.day("2026-03-01"))
    assert f'value="{many[0].full_name}"' in str(form["sire"])


def test_who_may_be_meant_is_proposed(family, as_viewer):
    page = as_viewer.get(reverse("animals:named"), {"q": "de"}).content.decode()
    assert f'value="{family[0].full_name}"' in page
    assert page.count("<option") == 1
    assert as_viewer.get(reverse("animals:named")).content.decode().strip() == ""


def test_a_dozen_are_proposed_at_most(species_data):
    for _ in range(14):
        cast.male("Sham")
    assert len(beginning_with(Animal.objects.all(), "sh")) == 12


def test_a_letter_that_no_database_takes_is_not_asked_for(many):
    assert named(Animal.objects.all(), "\0") == []
    assert beginning_with(Animal.objects.all(), "De\0neb") == [many[0]]
    assert sent(sire="Den\0eb").is_valid()
