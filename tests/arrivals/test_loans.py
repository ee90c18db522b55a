"""Loans in both directions: one act with where the animal stands, until when, young owed, back."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from breeding.animals.models import Animal, Loan
from breeding.animals.services import change_state
from breeding.arrivals.loans import acts as loans
from breeding.arrivals.loans.young import young_of
from breeding.arrivals.models import Arrival, LoanAgreement
from breeding.arrivals.year import years_of
from breeding.buyers.erasing import erase_person
from breeding.buyers.hand_overs import hand_over
from breeding.buyers.models import Contact, HandOver
from breeding.buyers.services import reserve_animal
from breeding.health.models import Treatment
from breeding.housing.models import Stay, Tank
from breeding.housing.services import move_animal
from breeding.litters.raising.leaving import unwell_of
from breeding.program.models import Act
from breeding.program.problems.doubts import DoubtError
from breeding.program.queries import the_program
from tests import cast
from tests.cast import ago, words

pytestmark = pytest.mark.django_db


@pytest.fixture
def ida():
    return Contact.objects.create(name="Ida Holm")


def lent(contact, since=20, **terms):
    rigel = cast.male("Rigel", state_on=ago(100))
    return loans.lend(rigel, contact, by=None, today=ago(0), since=ago(since), **terms)


def taken_in(contact, animal=None, **terms):
    animal = animal or cast.male("Castor", state_on=ago(100))
    return loans.take_in(animal, contact, by=None, today=ago(0), since=ago(20), **terms)


def agreement_of(animal):
    return LoanAgreement.objects.get(animal=animal)


def test_lending_is_one_act_with_where_it_stands(as_keeper, ida):
    rigel = cast.male("Rigel", state_on=ago(100))
    tank = Tank.objects.create(name="T1")
    move_animal(rigel, tank, on=ago(90), by=None)
    sent = {
        "contact": ida.pk,
        "since": ago(5).isoformat(),
        "due_back_on": ago(-30).isoformat(),
        "young_owed": "2",
        "terms": "two pups of the first litter",
    }
    as_keeper.post(reverse("arrivals:lend", args=[rigel.pk]), sent)
    rigel.refresh_from_db()
    assert (rigel.state, rigel.state_on) == ("on_loan", ago(5))
    assert Loan.objects.get(animal=rigel).since == ago(5)
    assert Stay.objects.get(animal=rigel).until == ago(5)
    page = words(as_keeper.get(rigel.get_absolute_url()))
    assert "Ida Holm</a> since" in page
    assert "Young owed: 0 of 2 given" in page


def test_back_ends_both_and_asks_for_the_tank(as_keeper, ida):
    agreement = lent(ida)
    tank = Tank.objects.create(name="Q1", kind="quarantine")
    address = reverse("arrivals:back", args=[agreement.pk])
    button = f'<a class="act" href="{address}">It is back</a>'
    assert button in words(as_keeper.get(reverse("arrivals:loans")))
    assert "lent to Ida Holm since" in words(as_keeper.get(address))
    as_keeper.post(address, {"on": ago(1).isoformat(), "tank": tank.pk})
    agreement.refresh_from_db()
    assert agreement.back_on == ago(1)
    assert button not in words(as_keeper.get(reverse("arrivals:loans")))
    assert Animal.objects.get(call_name="Rigel").state == "here"
    assert Loan.objects.get(animal=agreement.animal).until == ago(1)
    assert Stay.objects.get(animal=agreement.animal, until=None).tank == tank


def test_the_page_of_its_state_ends_the_agreement_too(ida):
    agreement = lent(ida)
    change_state(agreement.animal, state="here", on=ago(2))
    assert agreement_of(agreement.animal).back_on == ago(2)
    change_state(agreement.animal, state="here", on=ago(3))  # on another day, in fact
    assert agreement_of(agreement.animal).back_on == ago(3)


def test_on_loan_after_all_the_agreement_goes_on(ida):
    agreement = lent(ida)
    change_state(agreement.animal, state="here", on=ago(2))
    change_state(agreement.animal, state="on_loan", on=ago(20))
    assert agreement_of(agreement.animal).is_open


def test_one_on_loan_already_keeps_its_day(ida):
    rigel = cast.male("Rigel", state_on=ago(100))
    change_state(rigel, state="on_loan", on=ago(40))
    agreement = loans.lend(rigel, ida, by=None, today=ago(0), since=ago(0))
    assert agreement.since == ago(40)
    assert Loan.objects.count() == 1


def test_the_page_of_its_state_leads_to_whom_it_is_lent(as_keeper, ida):
    rigel = cast.male("Rigel", state_on=ago(100))
    sent = {"state": "on_loan", "on": ago(5).isoformat()}
    answer = as_keeper.post(reverse("animals:state", args=[rigel.pk]), sent)
    assert answer.url == reverse("arrivals:lend", args=[rigel.pk])
    as_keeper.post(answer.url, {"contact": ida.pk, "since": ago(0).isoformat()})
    assert agreement_of(rigel).since == ago(5)


def test_one_that_is_held_is_lent_only_when_that_is_meant(ida):
    rigel = cast.male("Rigel", state_on=ago(100))
    Treatment.objects.create(animal=rigel, remedy="Salt", since=ago(9), hold_until=ago(-9))
    with pytest.raises(DoubtError, match="is not to leave"):
        loans.lend(rigel, ida, by=None, today=ago(0), since=ago(5))
    loans.lend(rigel, ida, by=None, today=ago(0), since=ago(5), sure=cast.SURE)


def test_lent_is_undone_whole(as_keeper, ida):
    rigel = cast.male("Rigel", state_on=ago(100))
    sent = {"contact": ida.pk, "since": ago(5).isoformat()}
    as_keeper.post(reverse("arrivals:lend", args=[rigel.pk]), sent)
    as_keeper.post(reverse("program:undo", args=[Act.objects.latest("pk").pk]))
    rigel.refresh_from_db()
    assert rigel.state == "here"
    assert not LoanAgreement.objects.filter(back_on=None).exists()


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        ({"since": -1}, "still to come"),
        ({"due": 30}, "when it was lent"),
    ],
)
def test_what_cannot_be_is_refused(ida, facts, said):
    due = {"due_back_on": ago(facts["due"])} if "due" in facts else {}
    with pytest.raises(ValidationError, match=said):
        lent(ida, facts.get("since", 20), **due)
    with pytest.raises(ValidationError, match="end that loan first"):
        loans.lend(lent(ida).animal, ida, by=None, today=ago(0), since=ago(1))


class TestLentByItsOwner:
    def test_it_is_given_to_nobody(self, ida):
        castor = taken_in(ida).animal
        with pytest.raises(ValidationError, match="belongs to somebody else"):
            reserve_animal(castor, ida, by=None, on=ago(0))
        with pytest.raises(ValidationError, match="belongs to somebody else"):
            hand_over(
                castor,
                ida,
                by=None,
                program=the_program(),
                on=ago(0),
                today=ago(0),
                transport="own_car",
                has_read_cautions=True,
            )
        assert "its owner's consent (it is here on loan)" in unwell_of(castor, asof=ago(0))

    def test_it_goes_back_by_an_act(self, as_keeper, ida):
        agreement = taken_in(ida)
        tank = Tank.objects.create(name="T1")
        move_animal(agreement.animal, tank, on=ago(10), by=None)
        address = reverse("arrivals:back", args=[agreement.pk])
        as_keeper.post(address, {"on": ago(1).isoformat()})
        castor = Animal.objects.get(pk=agreement.animal_id)
        assert (castor.state, castor.state_on) == ("left", ago(1))
        assert agreement_of(castor).back_on == ago(1)
        assert Stay.objects.get(animal=castor).until == ago(1)

    def test_its_death_ends_the_loan(self, ida):
        castor = taken_in(ida).animal
        change_state(castor, state="died", on=ago(2))
        assert "tell them" in castor.follows
        assert agreement_of(castor).back_on == ago(2)

    def test_whose_it_is_is_for_who_may_see_buyers(self, as_viewer, ida):
        page = words(as_viewer.get(taken_in(ida).animal.get_absolute_url()))
        assert "Belongs to somebody else, here on loan" in page
        assert "Ida" not in page


def test_young_given_are_counted(as_keeper, ida):
    agreement = lent(ida, young_owed=2)
    address = reverse("arrivals:young", args=[agreement.pk])
    page = as_keeper.post(address, {"young_given": "1"}, follow=True)
    assert "Young given for Rigel: 1; 1 more are owed" in words(page)
    agreement.refresh_from_db()
    assert young_of(agreement).left == 1


def test_a_contacts_year(as_keeper, ida):
    mira, deneb = cast.female(), cast.male()
    on = cast.day("2025-03-04")
    HandOver.objects.create(
        animal=mira,
        contact=ida,
        on=on,
        price=80,
        currency="EUR",
        transport="own_car",
        came_back_on=cast.day("2026-02-01"),
        came_back_because="too large",
    )
    Arrival.objects.create(animal=deneb, contact=ida, on=on, price=Decimal("20.50"), currency="GBP")
    LoanAgreement.objects.create(
        animal=deneb, contact=ida, direction="in", since=on, back_on=on, young_owed=3, young_given=1
    )
    later, year = years_of(ida)
    assert later.gave_back == [HandOver.objects.get()]
    assert year.sums == [
        ("paid for animals", [("EUR", Decimal(80))]),
        ("received for animals", [("GBP", Decimal("20.50"))]),
    ]
    page = words(as_keeper.get(reverse("arrivals:year", args=[ida.pk])))
    for said in ("Bought", "80.00 EUR", "Sold to us", "20.50 GBP", "1 of 3 given", "too large"):
        assert said in page


def test_erased_no_name_is_left(owner, ida):
    agreement = lent(ida, terms="as Ida Holm wrote")
    arrival = Arrival.objects.create(
        animal=agreement.animal,
        contact=ida,
        on=ago(9),
        note="Ida Holm's own",
        papers="from Ida Holm",
    )
    erase_person(ida, by=owner, now=timezone.now(), because="by letter")
    for row in (agreement, arrival):
        row.refresh_from_db()
    assert (agreement.terms, arrival.note, arrival.papers) == ("", "", "")
    assert arrival.on == ago(9)
    assert agreement.contact.name == "a buyer"
