"""The litters' pages in German: whole sentences and plurals."""

import pytest
from django.urls import reverse
from django.utils import translation

from breeding.litters.births.pups import take_out_of_litter
from breeding.litters.models import Verdict
from breeding.litters.services import PupFacts, record_birth
from breeding.program import clock
from tests import cast
from tests.cast import words

pytestmark = [pytest.mark.django_db, pytest.mark.one_database("how facts become words")]
GERMAN = {"HTTP_ACCEPT_LANGUAGE": "de"}


@pytest.fixture
def litter(owner):
    pups = [PupFacts(disc_width_mm=95), PupFacts(), PupFacts(alive=False)]
    return record_birth(
        dam=cast.female("Mira", pure="motoro"),
        born_on=cast.ago(4),
        pups=pups,
        today=clock.today(),
        by=None,
    )


def test_a_litter_is_told_in_german(client, owner, litter):
    client.force_login(owner)
    said = words(client.get(litter.get_absolute_url(), **GERMAN))
    assert f"Wurf {litter.code}" in said
    assert "3 Jungtiere" in said
    assert "noch nicht, es fehlt: 38 weitere Tage" in said


def test_after_a_birth_the_males_are_spoken_of_in_german(client, owner, litter):
    client.force_login(owner)
    said = words(client.get(reverse("litters:after", args=[litter.pk]), **GERMAN))
    assert "Jungtiere und Männchen sind getrennt" in said
    assert "hinsehen, nicht zählen" in said


def test_a_pup_and_a_decision_have_german_names(litter):
    pup = litter.pups.first()
    with translation.override("de"):
        assert str(pup) == f"Jungtier 1 aus Wurf {litter.code}"
        assert str(Verdict.Decision.CULL.label) == "soll getötet werden"
    assert str(pup) == f"pup 1 of litter {litter.code}"


def test_why_an_animal_was_taken_out_of_its_litter_is_kept_in_no_language(litter):
    pup = litter.pups.select_related("animal", "litter").first()
    with translation.override("de"):
        take_out_of_litter(pup, by=None, now=clock.now())
        assert pup.why_withdrawn == f"{pup.animal.code} ist nicht aus diesem Wurf"
    assert pup.why_withdrawn == f"{pup.animal.code} is not of this litter"
