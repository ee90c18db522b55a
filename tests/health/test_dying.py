"""How an animal died: asked after its state, beside what is on record, taken back with it."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from breeding.agenda.queries import the_day
from breeding.animals.services import change_state
from breeding.health.dying.beside import beside_death
from breeding.health.dying.services import ToldDeath, tell_death
from breeding.health.illness.treating import Prescribed, treat
from breeding.health.models import Death
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.program import clock
from tests import cast
from tests.cast import ago, words

pytestmark = pytest.mark.django_db


@pytest.fixture
def pool(owner):
    return Tank.objects.create(name="Boathouse pool")


@pytest.fixture
def mira(pool):
    mira = cast.female("Mira")
    move_animal(mira, pool, on=ago(90), by=None)
    return mira


def lines(kind):
    day = the_day(cast.the_program(), today=clock.today())
    return [(line.who, line.why) for line in day.lines if line.kind.key == kind]


def test_the_state_leads_to_how_it_died_and_that_to_its_page(as_keeper, mira):
    state = reverse("animals:state", args=[mira.pk])
    asked = as_keeper.post(state, {"state": "died", "on": f"{ago(1)}"})
    address = reverse("health:death", args=[mira.pk])
    assert asked.url == address
    assert "Boathouse pool" in words(as_keeper.get(address))
    sent = {"cause": "illness", "findings": "Liver pale.", "examined_by": "Dr. Alder"}
    page = words(as_keeper.post(address, sent, follow=True))
    assert "An illness, suspected (Dr. Alder)." in page
    assert "Liver pale." in page


def test_a_cause_is_suspected_unless_a_laboratory_said_so(mira):
    change_state(mira, state="died", on=ago(1))
    with pytest.raises(ValidationError, match="Choose the cause"):
        tell_death(mira, ToldDeath(is_by_laboratory=True), today=clock.today(), by=None)
    told = ToldDeath("water", is_by_laboratory=True)
    death = tell_death(mira, told, today=clock.today(), by=None)
    assert death.cause_words == "the water, a laboratory said so"


def test_only_of_one_that_died_and_only_once(mira):
    with pytest.raises(ValidationError, match="say first that it died"):
        tell_death(mira, ToldDeath(), today=clock.today(), by=None)
    change_state(mira, state="died", on=ago(1))
    tell_death(mira, ToldDeath(), today=clock.today(), by=None)
    with pytest.raises(ValidationError, match="on record already"):
        tell_death(mira, ToldDeath(), today=clock.today(), by=None)


def test_here_again_takes_back_how_it_died(as_keeper, mira):
    change_state(mira, state="died", on=ago(1))
    tell_death(mira, ToldDeath("bite"), today=clock.today(), by=None)
    state = reverse("animals:state", args=[mira.pk])
    page = words(as_keeper.post(state, {"state": "here", "on": f"{ago(0)}"}, follow=True))
    assert "How Mira died (a bite or crushing, suspected) is withdrawn with it." in page
    assert not Death.objects.exists()
    assert Death.every.get().withdrawn_by is not None


def test_the_day_asks_how_it_died_and_to_look_at_the_others(mira, pool):
    deneb = cast.male("Deneb")
    move_animal(deneb, pool, on=ago(90), by=None, sure=cast.SURE)
    change_state(mira, state="died", on=ago(1))
    ((who, _),) = lines("how_it_died")
    assert who == "Mira"
    ((where, why),) = lines("died_in_water")
    assert where == "Boathouse pool"
    assert "In the water now: Deneb." in why
    tell_death(mira, ToldDeath(), today=clock.today(), by=None)
    assert lines("how_it_died") == []


def test_of_a_day_that_nobody_knows_what_is_told_is_as_of_today(mira):
    given = Prescribed("Willow drops", ago(20), until=ago(10), prescribed_by="Dr. Alder")
    treat(mira, given, today=clock.today(), by=None, sure=cast.SURE)
    mira.state, mira.state_on = "died", None
    mira.save()
    treated = [[one.remedy for one in beside_death(mira, today=ago(day)).treated] for day in (0, 5)]
    assert treated == [["Willow drops"]] * 2
    later = clock.today() + timedelta(days=21)  # more than 30 after the last of it
    assert beside_death(mira, today=later).treated == []
