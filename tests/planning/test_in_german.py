"""Plans, figures and buyers as a reader of German meets them."""

import datetime
from dataclasses import fields

import pytest
from django.urls import reverse
from django.utils import translation

from breeding.animals.models import Animal
from breeding.buyers.services import add_contact, reserve_animal
from breeding.buyers.waiting import add_wish
from breeding.planning.ahead import words
from breeding.planning.ahead.own_figures import basis_words
from breeding.planning.keeping.said import changed
from breeding.program import clock
from pedigree.ahead.assumptions import POLICIES, RULES, Assumptions
from tests import cast

pytestmark = [pytest.mark.django_db, pytest.mark.one_database("how facts become words")]
GERMAN = {"accept-language": "de"}


def said(client, address, **asked):
    return " ".join(client.get(address, asked, headers=GERMAN).content.decode().split())


def test_the_state_and_the_plan_are_told_in_whole_german_sentences(as_keeper):
    cast.female("Mira", born_on=datetime.date(2019, 3, 1))
    cast.male("Deneb", born_on=datetime.date(2019, 3, 1))
    state = said(as_keeper, reverse("planning:state"))
    assert "der von den Gründertieren mitgebrachten Vielfalt sind noch hier" in state
    assert "1 Weibchen und 1 Männchen von 2 lebenden Tieren" in state
    assert "Noch hat kein hier geborenes Zuchttier eigene Jungtiere" in state
    table = said(as_keeper, reverse("planning:table"))
    assert "6,25: Cousins" in table
    mira, deneb = Animal.objects.get(call_name="Mira"), Animal.objects.get(call_name="Deneb")
    paper = said(
        as_keeper, reverse("planning:what_if"), **{"try": f"litter-{mira.pk}-{deneb.pk}-2"}
    )
    assert "Mira hat 2 Jungtiere von Deneb" in paper
    assert "Die Genvielfalt" in paper


def test_a_wish_and_a_reservation_are_told_in_german(as_keeper, keeper):
    mira, today = cast.female("Mira"), clock.today()
    ida = add_contact(by=keeper, name="Ida Holm")
    add_wish(ida, by=keeper, wished_on=today - datetime.timedelta(days=3), sex="F")
    reserve_animal(mira, ida, by=keeper, on=today, until=today + datetime.timedelta(days=9))
    assert "Gerade ist kein Jungtier hier." in said(as_keeper, reverse("buyers:waiting"))
    page = said(as_keeper, ida.get_absolute_url())
    assert "Reserviert für Ida Holm" in page
    again = as_keeper.post(
        reverse("buyers:reserve", args=[mira.pk]), {"new_name": "Ada Berg"}, headers=GERMAN
    )
    assert "Mira ist bis " in again.content.decode()


def test_where_a_figure_comes_from_is_kept_in_english_and_read_in_german():
    kept = "from 47 years of grown animals here, of the last 5 years"
    with translation.override("de"):
        assert basis_words(kept) == "aus 47 Jahren erwachsener Tiere hier in den letzten 5 Jahren"
        assert basis_words("typed in") == "eingegeben"
        assert changed(-0.0012).startswith("sinkt um 0")


def test_whatever_the_arithmetic_says_of_looking_ahead_stands_in_the_catalogs():
    says = [one.metadata["says"] for one in fields(Assumptions)]
    without = [one.metadata["without"] for one in fields(Assumptions) if "without" in one.metadata]
    assert {*says, *without, *RULES, *(one.says for one in POLICIES)} == set(words.SAID)
