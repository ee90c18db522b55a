"""Days of food, health, arrivals and loans that cannot be are found; what can be is left alone."""

import pytest
from django.utils import timezone

from breeding.animals.models import Animal
from breeding.animals.services import change_state
from breeding.arrivals.loans.acts import lend, take_in
from breeding.arrivals.models import Arrival, LoanAgreement
from breeding.buyers.models import Contact
from breeding.feeding.models import Feeding
from breeding.health.models import Death, Observation, Quarantine, Treatment, Visit
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.litters.models import Verdict
from tests import cast
from tests.cast import ago, day
from tests.records.test_checking import found, past_the_tool, the_one

pytestmark = pytest.mark.django_db


@pytest.fixture
def mira(owner):
    return cast.female("Mira", code="M1", born_on=day("2020-01-01"), born_precision="day")


@pytest.fixture
def ida():
    return Contact.objects.create(name="Ida Holm")


def noon(text):
    return timezone.make_aware(timezone.datetime.fromisoformat(f"{text}T12:00"))


def fed(animal, on):
    feeding = Feeding.objects.create(fed_at=noon(on))
    feeding.meals.create(animal=animal, took="all")
    return feeding


WRITTEN = {
    "an observation": lambda one, on: Observation.objects.create(animal=one, kind="thin", since=on),
    "a treatment": lambda one, on: Treatment.objects.create(animal=one, remedy="Salt", since=on),
    "a visit": lambda one, on: Visit.objects.create(animal=one, on=on),
    "a quarantine": lambda one, on: Quarantine.objects.create(animal=one, since=on),
    "a verdict": lambda one, on: Verdict.objects.create(animal=one, decision="open", on=on),
    "a feeding": lambda one, on: fed(one, on),
}


@pytest.mark.parametrize("what", WRITTEN)
def test_before_birth_after_death_and_after_it_left(mira, what):
    record = WRITTEN[what](mira, day("2019-06-01"))
    assert "1 June 2019 is before Mira was born" in the_one("before Mira was born")
    record.delete() if what != "a feeding" else Feeding.objects.all().delete()
    WRITTEN[what](mira, day("2025-06-01"))
    assert found() == []
    past_the_tool(mira, state="died", state_on=day("2025-05-01"))
    assert "1 June 2025 is after Mira died (1 May 2025)." in the_one("after Mira died")
    past_the_tool(mira, state="left")
    assert "Mira (M1) left on 1 May 2025, before 1 June 2025." in the_one("left on")
    past_the_tool(mira, state_on=day("2025-06-01"))
    assert found() == []


@pytest.mark.parametrize("what", sorted(WRITTEN.keys() - {"a feeding"}))
def test_a_day_to_come(mira, what):
    WRITTEN[what](mira, ago(-9))
    assert "is still to come." in the_one("still to come")


def test_what_is_withdrawn_is_not_asked(mira):
    feeding = fed(mira, "2019-06-01")
    Feeding.objects.filter(pk=feeding.pk).update(withdrawn_at=timezone.now())
    assert found() == []


def test_fed_while_it_was_lent(mira, ida):
    lend(mira, ida, by=None, today=ago(0), since=day("2025-03-01"))
    fed(mira, "2025-03-01")
    assert found() == []
    fed(mira, "2025-04-01")
    assert "Mira (M1) was fed on 1 April 2025, when it was on loan." in the_one("on loan")


def test_a_hold_that_ends_before_the_treatment(mira):
    Treatment.objects.create(
        animal=mira,
        remedy="Salt",
        since=day("2025-03-01"),
        until=day("2025-03-10"),
        hold_until=day("2025-03-05"),
    )
    assert "5 March 2025 cannot be; allowed is from 11 March 2025" in the_one("cannot be")


def test_two_quarantines_at_once(mira):
    for since, ended in (("2025-03-01", "2025-04-01"), ("2025-04-01", "2025-04-20")):
        Quarantine.objects.create(
            animal=mira, since=day(since), ended_on=day(ended), result="clear"
        )
    assert found() == []
    Quarantine.objects.create(animal=mira, since=day("2025-04-10"))
    assert "has been in quarantine since 1 April 2025 already" in the_one(
        "already, by another record"
    )


def test_how_it_died_of_one_that_lives(mira):
    change_state(mira, state="died", on=day("2025-05-01"))
    death = Death.objects.create(animal=mira, cause="illness", ill_since=day("2025-05-01"))
    assert found() == []
    Death.objects.filter(pk=death.pk).update(ill_since=day("2025-05-03"))
    assert "Ill since 3 May 2025, and died on 1 May 2025." in the_one("Ill since")
    past_the_tool(mira, state="here")
    assert "died is told, and it is recorded as “here”" in the_one("is told")


def test_it_came_after_it_was_in_a_tank(mira, ida):
    tank = Tank.objects.create(name="B1")
    move_animal(mira, tank, on=day("2025-02-01"), by=None)
    arrival = Arrival.objects.create(animal=mira, on=day("2025-02-01"), contact=ida)
    assert found() == []
    Arrival.objects.filter(pk=arrival.pk).update(on=day("2025-02-05"))
    assert "Mira was in B1 since 1 February 2025" in the_one("was in B1")
    past_the_tool(mira, born_on=day("2025-02-20"))
    assert any("5 February 2025 is before Mira was born" in one for one in found())


def test_a_loan_that_goes_on_of_one_that_stands_elsewhere(mira, ida):
    lend(mira, ida, by=None, today=ago(0), since=day("2025-03-01"))
    rigel = cast.male("Rigel", code="R1")
    take_in(rigel, ida, by=None, today=ago(0), since=day("2025-03-01"))
    assert found() == []
    past_the_tool(mira, state="here")
    assert (
        "Mira (M1) is lent to somebody since 1 March 2025 and not back, and is recorded as “here”."
    ) in the_one("Mira (M1) is lent")
    past_the_tool(mira, state="on_loan")
    past_the_tool(rigel, state="left", state_on=day("2025-04-01"))
    assert "Rigel (R1) is lent by somebody since 1 March 2025 and not back" in the_one("not back")


def test_two_loans_at_once_and_one_back_before_it_was_born(mira, ida):
    def lent(since, back):
        return LoanAgreement.objects.create(
            animal=mira, direction="out", contact=ida, since=day(since), back_on=day(back)
        )

    lent("2025-03-01", "2025-04-01")
    lent("2025-04-01", "2025-05-01")
    assert found() == []
    third = lent("2025-04-20", "2025-06-01")
    assert "since 1 April 2025 already, when this loan begins" in the_one("when this loan begins")
    third.delete()
    early = lent("2019-01-01", "2019-02-01")
    assert len([one for one in found() if "before Mira was born" in one]) == 2
    early.delete()
    assert Animal.objects.count() == 1
    assert found() == []
