"""What must not be done with an animal, and why: one place, which every door asks."""

import datetime

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext

from breeding.animals.models import Animal
from breeding.animals.services import change_state
from breeding.buyers.hand_overs import hand_over
from breeding.buyers.services import add_contact, reserve_animal
from breeding.health.hold import EVERYTHING
from breeding.health.holds import holds_of, holds_on
from breeding.health.illness.treating import Prescribed, end_treatment, treat
from breeding.housing.models import Stay, Tank, WaterSystem
from breeding.housing.services import move_animal, move_everybody
from breeding.litters.raising.leaving import unwell_of
from breeding.pairings.services import open_pairing
from breeding.planning.season.readiness import candidates
from breeding.planning.services import plan_pairing
from breeding.program.problems.doubts import DoubtError
from breeding.program.queries import the_program
from breeding.program.services import withdraw
from tests import cast

pytestmark = pytest.mark.django_db
TODAY = cast.day("2026-11-25")
SURE = cast._Everything()


@pytest.fixture(autouse=True)
def _today():
    cast.the_program()
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


def given(since, until=None, hold_until=None, **facts):
    return Prescribed(
        "Willow drops",
        cast.day(since),
        cast.day(until) if until else None,
        cast.day(hold_until) if hold_until else None,
        **facts,
    )


def treated(who, *days, **facts):
    return treat(who, given(*days, **facts), today=TODAY, by=None, sure=SURE, reason="said so")


def until(animal, on=TODAY):
    return [(hold.until, hold.forbids == EVERYTHING) for hold in holds_of(animal, on)]


def test_a_treatment_without_an_end_holds_as_long_as_it_goes_on():
    mira = cast.female()
    treated(mira, "2026-11-20")
    assert until(mira) == [(None, True)]
    (hold,) = holds_of(mira, TODAY)
    assert hold.in_words == "has been under treatment with Willow drops since 20 November 2026"
    assert until(mira, cast.day("2026-11-19")) == []


def test_it_holds_to_the_day_that_was_given_and_not_on_it():
    mira = cast.female()
    treated(mira, "2026-11-10", "2026-11-20", "2026-12-20")
    (hold,) = holds_of(mira, TODAY)
    assert hold.in_words == (
        "was treated with Willow drops until 20 November 2026, and is held until 20 December 2026"
    )
    assert until(mira, cast.day("2026-12-19")) == [(cast.day("2026-12-20"), True)]
    assert until(mira, cast.day("2026-12-20")) == []


def test_without_a_hold_it_is_free_on_the_day_after_the_last():
    mira = cast.female()
    treated(mira, "2026-11-10", "2026-11-25")
    assert until(mira) == [(cast.day("2026-11-26"), True)]
    assert until(mira, cast.day("2026-11-26")) == []


def test_a_remedy_in_the_water_holds_all_who_share_it_wherever_they_are_now():
    water = WaterSystem.objects.create(name="Cellar")
    one, other = (Tank.objects.create(name=name, system=water) for name in ("Bay", "Cove"))
    dry = Tank.objects.create(name="Dock")
    mira, vega, juno, late = (cast.female(name) for name in ("Mira", "Vega", "Juno", "Late"))
    for animal, tank in ((mira, one), (vega, other), (juno, dry)):
        move_animal(animal, tank, on=cast.day("2026-11-01"), by=None)
    treated(one, "2026-11-10", "2026-11-20", "2026-12-20")
    move_animal(vega, dry, on=cast.day("2026-11-15"), by=None, sure=SURE, reason="bitten")
    move_animal(late, one, on=cast.day("2026-11-21"), by=None)
    held = holds_on([mira.pk, vega.pk, juno.pk, late.pk], TODAY)
    assert set(held) == {mira.pk, vega.pk}
    assert "(the water of Bay)" in held[vega.pk][0].why


def test_who_was_moved_out_before_the_treatment_was_written_that_day_is_free():
    bay, dock = Tank.objects.create(name="Bay"), Tank.objects.create(name="Dock")
    before, after = cast.female("Mira"), cast.female("Vega")
    for animal in (before, after):
        move_animal(animal, bay, on=cast.day("2026-11-01"), by=None)
    move_animal(before, dock, on=TODAY, by=None)
    with time_machine.travel("2026-11-25 13:00:00Z", tick=False):
        treated(bay, "2026-11-25")
    with time_machine.travel("2026-11-25 14:00:00Z", tick=False):
        move_animal(after, dock, on=TODAY, by=None, sure=SURE, reason="bitten")
    assert set(holds_on([before.pk, after.pk], TODAY)) == {after.pk}


def test_a_withdrawn_treatment_holds_nobody():
    mira = cast.female()
    one = treated(mira, "2026-11-20")
    now = datetime.datetime(2026, 11, 25, 12, tzinfo=datetime.UTC)
    withdraw(one, by=None, now=now, reason="another animal")
    assert until(mira) == []


def test_ending_it_today_keeps_the_hold_and_asks_once_where_there_is_none():
    mira = cast.female()
    one = treated(mira, "2026-11-20")
    with pytest.raises(DoubtError, match="Ask the veterinarian how long"):
        end_treatment(one, until=TODAY, today=TODAY)
    end_treatment(one, until=TODAY, today=TODAY, hold_until=cast.day("2026-12-25"))
    assert until(mira) == [(cast.day("2026-12-25"), True)]


def test_leaving_lacks_the_end_of_the_hold():
    mira = cast.female()
    treated(mira, "2026-11-20")
    assert unwell_of(mira, asof=TODAY) == (
        "the end of its hold "
        "(it has been under treatment with Willow drops since 20 November 2026)",
    )


def test_handing_over_asks_for_a_reason_and_keeps_it():
    mira, kim = cast.female(), add_contact(by=None, name="Kim Lund")
    treated(mira, "2026-11-20")
    facts = {"by": None, "program": the_program(), "on": TODAY, "today": TODAY}
    facts |= {"transport": "own_car", "has_read_cautions": True}
    with pytest.raises(DoubtError, match="It is not to leave"):
        hand_over(mira, kim, **facts)
    gone = hand_over(mira, kim, **facts, sure=SURE, reason="to the clinic")
    assert gone.reason == "to the clinic"


def test_reserving_and_lending_one_that_is_held_are_asked_about():
    mira, kim = cast.female(), add_contact(by=None, name="Kim Lund")
    treated(mira, "2026-11-20")
    with pytest.raises(DoubtError, match="It is not to leave"):
        reserve_animal(mira, kim, by=None, on=TODAY)
    assert reserve_animal(mira, kim, by=None, on=TODAY, sure=SURE).animal == mira
    with pytest.raises(DoubtError, match="It is not to leave"):
        change_state(mira, state=Animal.State.ON_LOAN, on=TODAY)


def test_pairing_and_planning_ask_for_a_reason_until_the_hold_is_over():
    mira, deneb = cast.female(), cast.male()
    treated(mira, "2026-11-10", "2026-11-20", "2026-12-20")
    two = {"female": mira, "male": deneb, "by": None, "today": TODAY}
    with pytest.raises(DoubtError) as asked:
        open_pairing(**two, introduced_on=TODAY, program=the_program())
    assert "It is not to be bred." in " ".join(asked.value.messages)
    with pytest.raises(DoubtError) as asked:
        plan_pairing(**two, not_before=TODAY)
    assert "held until 20 December 2026" in " ".join(asked.value.messages)
    found = candidates([mira], the_program(), today=TODAY)[mira.pk]
    assert any("was treated with Willow drops" in one for one in found.hindrances)
    later = candidates([mira], the_program(), today=cast.day("2026-12-20"))[mira.pk]
    assert not any("Willow drops" in one for one in later.hindrances)


def test_moving_asks_for_a_reason_and_keeps_it_with_the_stay():
    bay, dock = Tank.objects.create(name="Bay"), Tank.objects.create(name="Dock")
    mira = cast.female()
    move_animal(mira, bay, on=cast.day("2026-11-01"), by=None)
    treated(bay, "2026-11-20")
    with pytest.raises(DoubtError, match="It is not to be moved"):
        move_animal(mira, dock, on=TODAY, by=None)
    with pytest.raises(DoubtError, match="It is not to be moved"):
        move_animal(mira, None, on=TODAY, by=None)
    with pytest.raises(DoubtError, match="It is not to be moved"):
        move_everybody(bay, dock, on=TODAY, by=None)
    stay = move_animal(mira, dock, on=TODAY, by=None, sure=SURE, reason="the bay leaks")
    assert stay.reason == "the bay leaks"
    assert "It is not to be moved." in " ".join(stay.follows)


def test_moving_into_treated_water_is_asked_about():
    bay = Tank.objects.create(name="Bay")
    mira = cast.female()
    treated(bay, "2026-11-20")
    with pytest.raises(DoubtError, match="Bay: its water has been treated with Willow drops"):
        move_animal(mira, bay, on=TODAY, by=None)
    move_animal(mira, bay, on=TODAY, by=None, sure=SURE)
    assert set(holds_on([mira.pk], TODAY)) == {mira.pk}


def test_ten_times_as_many_cost_no_more_queries():
    bay = Tank.objects.create(name="Bay")
    animals = [cast.female(f"Ray {number}") for number in range(4)]

    def asked(some):
        with CaptureQueriesContext(
            connection,
        ) as queries:
            assert len(holds_on([one.pk for one in some], TODAY)) == len(some)
        return len(queries)

    for one in animals:
        Stay.objects.create(animal=one, tank=bay, since=cast.day("2026-11-01"))
    treated(bay, "2026-11-20")
    few = asked(animals)
    more = [cast.female(f"More {number}") for number in range(40)]
    for one in more:
        Stay.objects.create(animal=one, tank=bay, since=cast.day("2026-11-01"))
        treated(one, "2026-11-21")
    assert asked([*animals, *more]) == few <= 4


def test_a_day_that_cannot_be_is_refused_beside_its_field():
    mira = cast.female()
    for days, field in (
        (("2026-11-26",), "since"),
        (("2026-11-20", "2026-11-19"), "until"),
        (("2026-11-20", "2026-11-24", "2026-11-24"), "hold_until"),
    ):
        with pytest.raises(ValidationError) as refused:
            treated(mira, *days)
        assert set(refused.value.error_dict) == {field}
