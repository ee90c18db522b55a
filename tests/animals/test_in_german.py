"""The pages of animals in German: sentences, plurals, and words that come from tables."""

import datetime

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import translation

from breeding.animals.models import Animal
from breeding.animals.parents.parentage import Parents, Young, check
from breeding.animals.pictures.known import Known
from breeding.animals.species.rules import RULES, source_said
from breeding.animals.typed.chips import problem_of
from breeding.animals.weighing.conditions import conditions_said
from breeding.words.kinds import RAYS
from tests import cast
from tests.cast import words

GERMAN = {"HTTP_ACCEPT_LANGUAGE": "de"}


@pytest.fixture
def mira(owner) -> Animal:
    deneb = cast.male("Deneb", pure="motoro")
    dam = cast.female("Vega", pure="motoro")
    return cast.female("Mira", sire=deneb, dam=dam, state_on=datetime.date(2024, 5, 3))


@pytest.mark.django_db
def test_the_list_of_animals_is_in_german(client, owner, mira):
    client.force_login(owner)
    said = words(client.get(reverse("animals:index"), **GERMAN))
    assert "Neues Tier" in said
    assert "12,5 % ist so nah wie Halbgeschwister" in said
    assert "hier oder verliehen" in said
    assert "weiblich" in said
    assert "here or on loan" not in said


@pytest.mark.django_db
def test_the_page_of_an_animal_is_in_german(client, owner, mira):
    client.force_login(owner)
    said = words(client.get(reverse("animals:detail", args=[mira.pk]), **GERMAN))
    assert "Abgegeben, gestorben, verliehen" in said
    assert "hier seit" in said
    assert "<dt>Vater</dt>" in said
    assert "Noch nicht gemessen." in said
    assert "Quadrat männlich, Kreis weiblich, Raute unbekannt." in said
    assert "Vollständig für 1 Generation, alle Linien zusammengenommen" in said


def test_so_many_generations_are_counted_in_german():
    with translation.override("de"):
        assert Known((), 2.375, 0.0).complete_for == "2,4 Generationen"


@pytest.mark.django_db
def test_the_family_of_an_animal_is_in_german(client, owner, mira):
    client.force_login(owner)
    said = words(client.get(reverse("animals:family", args=[mira.pk]), **GERMAN))
    assert "Die Familie von Mira" in said
    assert "Mira hat keine eingetragenen Jungtiere." in said


@pytest.mark.django_db
def test_what_is_measured_is_asked_for_in_german(client, owner, mira):
    client.force_login(owner)
    said = words(client.get(reverse("animals:measure", args=[mira.pk]), **GERMAN))
    assert "Scheibenbreite in cm" in said
    assert "Niemand keschert oder hebt dafür ein Tier" in said
    assert "1, dünn" in said


@pytest.mark.django_db
def test_the_figures_of_a_species_say_their_sources_in_german(client, owner):
    client.force_login(owner)
    said = words(client.get(reverse("animals:species"), **GERMAN))
    assert "Tragzeit ab der Paarung, Mittel" in said
    assert "Hier genannt: Rochen; gemessen wird die Scheibenbreite; giftiger Stachel" in said
    assert "ein tragbares Gerät stimmte bei einem kleinen Hai in 90,9 % der Urteile" in said


def test_a_parent_that_cannot_be_is_refused_in_german():
    mira = Animal(pk=1, call_name="Mira", sex="M")
    with translation.override("de"), pytest.raises(ValidationError) as refused:
        check(Young("Vega"), Parents(dam=mira))
    assert refused.value.message_dict == {
        "dam": ["Mira ist als Männchen eingetragen; eine Mutter muss weiblich sein."]
    }


def test_tables_of_words_are_said_in_the_language_of_whoever_reads_them():
    rule = RULES["mature_male_mm"]
    assert rule.allowed("cm") == "from 1 to 300 cm"
    with translation.override("de"):
        assert rule.allowed("cm") == "von 1 bis 300 cm"
        assert conditions_said()[0][1] == "dünn"
        assert RAYS.size_heading == "Scheibenbreite"
        assert problem_of("0" * 15).startswith("Die Nummer beginnt mit 000")
        assert source_said("taken over from P. motoro: assumption") == (
            "übernommen von P. motoro: Annahme"
        )


def test_what_a_keeper_wrote_stays_as_it_is():
    with translation.override("de"):
        assert source_said("seen by Kim in the quarantine room") == (
            "seen by Kim in the quarantine room"
        )
