"""Rounds of feeding, for who reads German."""

import datetime

import pytest
from django.urls import reverse
from django.utils import translation

from breeding.feeding.appetite import Appetite, Refusal
from breeding.feeding.models import Food
from breeding.feeding.rounds import appetite_words
from breeding.feeding.services import feed
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.program import clock
from breeding.words.days import short_day
from tests import cast

pytestmark = [pytest.mark.django_db, pytest.mark.one_database("how facts become words")]


@pytest.fixture
def in_german(as_keeper):
    as_keeper.defaults["HTTP_ACCEPT_LANGUAGE"] = "de"
    return as_keeper


@pytest.fixture
def pool(owner):
    found = Tank.objects.create(name="Pool")
    mira, vega = cast.female("Mira"), cast.female("Vega")
    for one in (mira, vega):
        move_animal(one, found, on=cast.ago(12), by=owner)
    mussel, now = Food.objects.create(name="Muschel"), clock.now()
    at = now - datetime.timedelta(hours=2)
    feed({mira: "none", vega: "all"}, food=mussel, fed_at=at, now=now, by=owner, tank=found)
    return found


def test_the_round_says_who_refused(in_german, pool):
    page = cast.words(in_german.get(reverse("feeding:index")))
    assert "Eine Runde füttern" in page
    assert "2 Tiere; gefüttert" in page
    assert "Alle fraßen: Muschel" in page


def test_one_day_and_several_of_refusing():
    days = [cast.day("2026-03-01"), cast.day("2026-03-02")]
    at = datetime.datetime(2026, 3, 2, 9, tzinfo=datetime.UTC)
    left = tuple(Refusal(at, on, "m1") for on in days)
    with translation.override("de"):
        one = appetite_words(Appetite(refusals=left[:1], alarm_days=1), days[1])
        two = appetite_words(Appetite(refusals=left, alarm_days=2), days[1])
    assert one.startswith("frisst nicht: an 1 Tag seit ")
    assert two.startswith("frisst nicht: an 2 Tagen seit ")


def test_a_day_whose_month_is_cut_short_ends_the_sentence_with_one_stop(in_german, pool, owner):
    (mira,) = (stay.animal for stay in pool.stays.filter(animal__call_name="Mira"))
    food, now = Food.objects.get(), clock.now()
    at = now - datetime.timedelta(days=2)
    feed({mira: "all"}, food=food, fed_at=at, now=now, by=owner, tank=pool)
    with translation.override("de"):
        ate = short_day(cast.ago(2), cast.ago(0))
    page = cast.words(in_german.get(mira.get_absolute_url()))
    assert ate.endswith(".")
    assert f"Heute verweigert, zuletzt gefressen {ate}</p>" in page
