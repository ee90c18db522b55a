"""The way from an empty program to its first pairing moves on as its steps are done."""

import pytest
from django.urls import reverse

from breeding.help.first_steps import first_steps
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db


def done():
    return [one.is_done for one in first_steps()]


def day(client, **headers):
    return words(client.get(reverse("agenda:day"), **headers))


def test_an_empty_program_begins_with_a_tank(as_keeper):
    assert done() == [False] * 6
    page = day(as_keeper)
    assert "What next" in page
    assert '<a class="act first" href="/tanks/new/">Write down a tank</a>' in page


def test_each_step_that_is_done_moves_the_way_on(as_keeper):
    tank = Tank.objects.create(name="Lagoon", length_mm=2400, width_mm=1200, height_mm=500)
    assert done() == [True, False, False, False, False, False]
    mira = cast.female("Mira")
    assert done() == [True, True, False, False, False, False]
    deneb = cast.male("Deneb")
    assert done() == [True, True, True, False, False, False]
    assert 'href="/tanks/">Say who lives in which tank</a>' in day(as_keeper)
    move_animal(mira, tank, on=cast.ago(3), by=None, sure=cast.SURE)
    assert done() == [True, True, True, True, False, False]
    pairing = cast.pair(mira, deneb, 2)
    assert done() == [True, True, True, True, True, False]
    assert "Log the first thing you see" in day(as_keeper)
    cast.see(mira, 1, "following", male=pairing.male)
    assert done() == []
    assert "What next" not in day(as_keeper)


def test_a_record_that_was_withdrawn_counts_for_no_step(as_keeper):
    mira = cast.female("Mira")
    mira.withdrawn_at = "2026-01-01T00:00:00Z"
    mira.withdrawn_reason = "twice"
    mira.save()
    assert not any(done())


def test_a_viewer_is_told_of_no_steps_that_others_walk(as_viewer):
    assert "What next" not in day(as_viewer)


def test_the_way_is_shown_in_german(as_keeper):
    page = day(as_keeper, headers={"accept-language": "de"})
    assert "Becken eintragen" in page
    assert "Erste Schritte, im Handbuch" in page


def test_the_way_costs_one_question(as_keeper, django_assert_num_queries):
    with django_assert_num_queries(1):
        first_steps()
