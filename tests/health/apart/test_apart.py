"""Quarantine on pages and at doors: begun by a move or by word, until when and why, ended."""

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.agenda.queries import the_day
from breeding.health.apart.services import keep_apart, let_out
from breeding.health.holds import holds_on
from breeding.health.illness.observing import observe
from breeding.health.quarantine import quarantined
from breeding.housing.models import Tank, WaterSystem
from breeding.housing.services import move_animal
from breeding.program import clock
from breeding.words.days import long_day
from tests import cast
from tests.cast import ago, words

pytestmark = pytest.mark.django_db


@pytest.fixture
def ward(owner):
    return Tank.objects.create(name="Ward", kind=Tank.Kind.QUARANTINE)


def put(animal, tank, days):
    move_animal(animal, tank, on=ago(days), by=None, sure=cast.SURE, reason="tried")
    return animal


def found(animal, days_ahead=0):
    return quarantined([animal.pk], ago(-days_ahead)).get(animal.pk)


def lines(kind):
    day = the_day(cast.the_program(), today=clock.today())
    return [line for line in day.lines if line.kind.key == kind]


def test_a_move_begins_it_and_one_that_is_added_begins_the_days_again(ward):
    rigel = put(cast.male("Rigel"), ward, 20)
    assert found(rigel).until == ago(-10)
    put(cast.female("Mira"), ward, 5)
    assert (found(rigel).until, found(rigel).because) == (ago(-25), "Mira was added")
    assert "move" not in holds_on([rigel.pk], clock.today())[rigel.pk][0].forbids


def test_one_that_falls_ill_in_a_tank_of_the_same_water_begins_them_again(ward):
    ward.system = WaterSystem.objects.create(name="Sump")
    ward.save()
    rigel = put(cast.male("Rigel"), ward, 20)
    mira = put(cast.female("Mira"), Tank.objects.create(name="Bay", system=ward.system), 40)
    observe(mira, "breathing", since=ago(3), today=clock.today(), by=None)
    assert found(rigel).because == "Mira fell ill (breathes fast)"
    assert found(rigel).until == ago(-27)


def test_it_is_ended_in_time_and_comes_to_the_day_before(ward, as_keeper):
    rigel = put(cast.male("Rigel"), ward, 31)
    (line,) = lines("quarantine_over")
    assert (line.who, line.on) == ("Rigel", ago(1))
    address = reverse("health:let_out", args=[rigel.pk])
    sent = {"animals": rigel.pk, "result": "clear", "on": f"{clock.today()}"}
    page = words(as_keeper.post(address, sent, follow=True))
    assert "The quarantine of Rigel has ended: nothing found." in page
    assert found(rigel) is None
    assert lines("quarantine_over") == []
    put(cast.female("Mira"), ward, 0)
    assert found(rigel) is None  # she came on the day on which it ended
    assert found(rigel, 1) is None


def test_before_its_days_are_over_it_asks_for_a_reason_and_once_more(ward, as_keeper):
    rigel = put(cast.male("Rigel"), ward, 10)
    address = reverse("health:let_out", args=[rigel.pk])
    sent = {"animals": rigel.pk, "result": "clear", "on": f"{clock.today()}"}
    said = words(as_keeper.post(address, sent))
    assert f"The days of Rigel are not over before {long_day(ago(-20))}" in said
    sent["result"] = "cut_short"
    assert "Say why it ends before its time." in words(as_keeper.post(address, sent))
    sent["note"] = "the room is needed"
    assert "20 more days. What it carries may not show yet." in words(as_keeper.post(address, sent))
    assert found(rigel) is not None
    with pytest.raises(ValidationError):
        let_out([rigel], on=ago(0), result="cut_short", note="x", today=ago(0), by=None)
    let_out([rigel], on=ago(0), result="cut_short", note="x", today=ago(0), by=None, sure=cast.SURE)
    assert found(rigel) is None


def test_by_word_it_is_in_quarantine_wherever_it_is_and_only_once(owner):
    mira = put(cast.female("Mira"), Tank.objects.create(name="Bay"), 40)
    keep_apart([mira], since=ago(3), least_days=20, today=clock.today(), by=None)
    assert found(mira).until == ago(-17)
    with pytest.raises(ValidationError, match="already; end that first"):
        keep_apart([mira], since=ago(2), today=clock.today(), by=None)


def test_who_shares_the_water_of_one_put_in_quarantine_where_it_is_is_named(as_keeper, owner):
    bay = Tank.objects.create(name="Bay")
    mira, vega, rigel = (put(cast.female(name), bay, 40) for name in ("Mira", "Vega", "Rigel"))
    address = reverse("health:keep_apart", args=[mira.pk])
    page = words(as_keeper.get(address))
    assert "Whoever is in the same water shares what Mira has" in page
    assert reverse("housing:move", args=[mira.pk]) in page
    sent = {"animals": [mira.pk, vega.pk], "since": f"{ago(0)}"}
    page = words(as_keeper.post(address, sent, follow=True))
    assert "Rigel shares this water and is not in quarantine." in page
    page = words(
        as_keeper.post(
            reverse("health:keep_apart", args=[rigel.pk]),
            {"animals": [rigel.pk], "since": f"{ago(0)}"},
            follow=True,
        )
    )
    assert "Rigel is in quarantine." in page
    assert "is not in quarantine. " not in page


def test_one_alone_in_its_tank_is_said_nothing_of_others(as_keeper, owner):
    mira = put(cast.female("Mira"), Tank.objects.create(name="Bay"), 40)
    page = words(as_keeper.get(reverse("health:keep_apart", args=[mira.pk])))
    assert "Whoever is in the same water" not in page


def test_pages_say_until_when_and_why(ward, as_keeper):
    rigel = put(cast.male("Rigel"), ward, 20)
    put(cast.female("Mira"), ward, 5)
    why = f"30 days from {long_day(ago(5))}, when Mira was added"
    for address in (rigel.get_absolute_url(), ward.get_absolute_url(), "/health/quarantine/"):
        assert why in words(as_keeper.get(address)), address
    for route in ("health:let_out", "health:keep_apart"):
        assert as_keeper.get(reverse(route, args=[rigel.pk])).status_code == 200


def test_one_that_died_is_in_quarantine_no_more_and_begins_the_days_of_the_others_again(ward):
    rigel, mira = put(cast.male("Rigel"), ward, 20), put(cast.female("Mira"), ward, 20)
    mira.state, mira.state_on = "died", ago(2)
    mira.save()
    assert found(mira) is None
    assert (found(rigel).because, found(rigel).until) == ("Mira died", ago(-28))


def test_more_animals_cost_no_more_queries(ward):
    one = [put(cast.male("Rigel"), ward, 20).pk]
    with CaptureQueriesContext(connection) as few:
        quarantined(one, clock.today())
    many = [put(cast.male(f"M{n}"), ward, n).pk for n in range(1, 9)]
    with CaptureQueriesContext(connection) as more:
        assert len(quarantined([*one, *many], clock.today())) == 9
    # The first asks whether anybody may be at all; a page that only reads does without it.
    assert len(more) == len(few) <= 9
