"""What ails animals and what is given, for who reads German."""

import pytest
from django.urls import reverse
from django.utils import translation

from breeding.health.hold import Hold
from breeding.health.illness.medicines import harm_words
from breeding.health.illness.observing import observe
from breeding.words.kinds import RAYS
from tests import cast

pytestmark = [pytest.mark.django_db, pytest.mark.one_database("how facts become words")]


@pytest.fixture
def in_german(as_keeper):
    as_keeper.defaults["HTTP_ACCEPT_LANGUAGE"] = "de"
    return as_keeper


def test_what_to_do_first_is_said_whole(in_german, owner):
    page = cast.words(in_german.get(reverse("health:observe")))
    assert "Was fehlt ihm?" in page
    assert "Teste zuerst das Wasser: Schlechtes Wasser sieht aus wie viele Krankheiten." in page
    assert "keine Dosis, die nicht ein Tierarzt verordnet hat." in page


def test_who_is_not_well_stands_in_german(in_german, owner):
    mira = cast.female("Mira")
    today = cast.ago(0)
    observe(mira, "breathing", since=today, today=today, by=owner)
    page = cast.words(in_german.get(reverse("health:index")))
    assert "atmet schnell seit" in page
    assert "Niemand ist gesperrt." in page


def test_one_medicine_kills_and_two_kill():
    with translation.override("de"):
        one, two = harm_words(["copper"], RAYS), harm_words(["copper", "formalin"], RAYS)
    assert one.startswith("Nach üblicher Praxis tötet Kupfer diese Tiere")
    assert two.startswith("Nach üblicher Praxis töten Kupfer ")
    assert two.endswith("Über jede Dosis entscheidet ein Tierarzt.")


def test_what_must_not_be_done_is_one_sentence():
    with translation.override("de"):
        said = Hold(1, "ist in Quarantäne", forbids=frozenset(["sell", "breed"])).forbidden_words
    assert said == "nicht zu verkaufen und nicht zur Zucht"


def test_what_is_asked_of_a_medicine_names_it_as_german_quotes(in_german, owner):
    mira = cast.female("Mira")
    sent = {"animal": mira.pk, "remedy": "Kupfersulfat", "since": f"{cast.ago(0)}"}
    page = cast.words(in_german.post(reverse("health:treat"), sent))
    assert "„Kupfersulfat“: Nach üblicher Praxis tötet Kupfer" in page
