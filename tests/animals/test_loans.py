"""The days on which an animal was lent: kept, put right, and neither apart nor together."""

import pytest
from django.urls import reverse

from breeding.animals.models import Animal, Loan
from breeding.animals.services import change_animal, change_state
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.pairings.season.exposure import exposure_of
from breeding.pairings.season.facts import gather_together
from breeding.pairings.season.reading import season_of
from breeding.program.models import Act
from breeding.program.queries import the_program
from tests import cast
from tests.cast import ago, pair, see, words

pytestmark = pytest.mark.django_db


@pytest.fixture
def mira(owner):
    return cast.female("Mira", pure="motoro", born_on=ago(3000))


def lend(animal, since, until=None):
    change_state(animal, state="on_loan", on=ago(since))
    if until is not None:
        change_state(animal, state="here", on=ago(until))


def days(animal):
    return [(loan.since, loan.until) for loan in animal.loans.order_by("since")]


def test_a_loan_keeps_its_days_after_its_end(mira):
    lend(mira, 40)
    assert days(mira) == [(ago(40), None)]
    change_state(mira, state="here", on=ago(10))
    assert days(mira) == [(ago(40), ago(10))]


def test_another_day_of_the_return_moves_the_end_and_one_taken_back_opens_it(mira):
    lend(mira, 40, 10)
    change_state(mira, state="here", on=ago(12))
    assert days(mira) == [(ago(40), ago(12))]
    change_animal(mira, state="on_loan", state_on=ago(40))
    assert days(mira) == [(ago(40), None)]


def test_one_that_dies_away_was_on_loan_until_then(mira):
    lend(mira, 40)
    change_state(mira, state="died", on=ago(3))
    assert days(mira) == [(ago(40), ago(3))]


def test_an_animal_that_came_in_as_on_loan_keeps_the_days_when_it_is_back(mira):
    Animal.objects.filter(pk=mira.pk).update(state="on_loan", state_on=ago(20))
    change_state(mira, state="here", on=ago(5))
    assert days(mira) == [(ago(20), ago(5))]


def test_undoing_the_return_opens_the_loan_and_undoing_the_loan_withdraws_it(as_keeper, mira):
    address = reverse("animals:state", args=[mira.pk])
    for state, on in (("on_loan", ago(40)), ("here", ago(10))):
        token = as_keeper.get(address).content.decode().split('name="once" value="')[1]
        sent = {"state": state, "on": f"{on}", "once": token.split('"')[0]}
        as_keeper.post(address, sent)
    first, last = Act.objects.order_by("pk")
    as_keeper.post(reverse("program:undo", args=[last.pk]))
    assert days(mira) == [(ago(40), None)]
    as_keeper.post(reverse("program:undo", args=[first.pk]))
    assert days(mira) == []
    assert Loan.every.get().is_withdrawn
    mira.refresh_from_db()
    assert mira.is_here


def test_days_on_loan_are_unknown_company_after_she_is_back_too(mira):
    lend(mira, 40, 10)
    reading = season_of(mira, the_program(), asof=ago(0))
    assert (reading.unknown[0], reading.unknown[-1]) == (ago(40), ago(10))
    assert len(reading.unknown) == 31
    assert reading.exposed == []


def test_marks_on_days_from_a_loan_are_no_disagreement_and_speak_for_a_mating(mira):
    lend(mira, 40, 10)
    see(mira, 9, "fresh_bite_marks", severity=1)
    reading = season_of(mira, the_program(), asof=ago(0))
    assert reading.testimony.alone == ()
    assert reading.estimate.chance > 0.05


def test_a_mating_with_a_male_on_loan_then_is_neither_refused_nor_asked(mira):
    deneb = cast.male("Deneb", pure="motoro", born_on=ago(3000))
    tank = Tank.objects.create(name="Pool")
    move_animal(mira, tank, on=ago(60), by=None)
    see(mira, 30, male=deneb)
    lend(deneb, 40, 10)
    reading = season_of(mira, the_program(), asof=ago(0))
    assert reading.testimony.elsewhere == ()


def test_a_loan_ends_company_for_its_time_though_pairing_and_stay_were_left_open(mira):
    deneb = cast.male("Deneb", pure="motoro", born_on=ago(3000))
    tank = Tank.objects.create(name="Pool")
    for one in (mira, deneb):
        move_animal(one, tank, on=ago(60), by=None)
    pair(mira, deneb, 60)
    Loan.objects.create(animal=deneb, since=ago(40), until=ago(10))
    spans = exposure_of(gather_together([mira])).spans[mira.pk]
    assert {(span.source, span.first, span.last) for span in spans} == {
        ("pairing", ago(60), ago(40)),
        ("pairing", ago(10), None),
        ("tank", ago(60), ago(40)),
        ("tank", ago(10), None),
    }


def test_a_loan_that_goes_on_is_not_changed_or_withdrawn_by_itself(as_keeper, mira):
    lend(mira, 40)
    loan = mira.loans.get()
    page = as_keeper.post(reverse("program:withdraw", args=["loan", loan.pk]), {"reason": "slip"})
    assert "Mira is on loan; say where it stands first" in words(page)
    page = as_keeper.post(
        reverse("program:change", args=["loan", loan.pk]),
        {"since": f"{ago(41)}", "until": f"{ago(1)}"},
    )
    assert "Mira is on loan; say where it stands now" in words(page)
    assert days(mira) == [(ago(40), None)]


def test_the_page_of_its_stays_lists_loans(as_keeper, mira):
    lend(mira, 40, 10)
    said = words(as_keeper.get(reverse("housing:stays", args=[mira.pk])))
    assert "With whom it was then, nobody knows: neither alone nor in company." in said
