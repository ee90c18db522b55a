"""The young owed for a loan: ticked at a hand-over, a reservation and on the loan's page."""

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from breeding.agenda.gathered import Gathered
from breeding.agenda.lines.arrivals import loan_lines
from breeding.arrivals.loans import acts as loans
from breeding.arrivals.loans.young import name_young, young_of
from breeding.arrivals.models import Arrival, YoungGiven
from breeding.arrivals.year import years_of
from breeding.buyers.hand_overs import take_back
from breeding.buyers.models import Contact, HandOver
from breeding.program import clock
from breeding.program.models import Act
from breeding.program.queries import the_program
from tests import cast
from tests.cast import ago, words

pytestmark = pytest.mark.django_db


@pytest.fixture
def ida():
    return Contact.objects.create(name="Ida Holm")


@pytest.fixture
def loan(ida):
    """Castor is here on loan by Ida, who is owed two young."""
    castor = cast.male("Castor", state_on=ago(400))
    return loans.take_in(
        castor, ida, by=None, today=ago(0), since=ago(300), young_owed=2, due_back_on=ago(-3)
    )


def young(loan, name="Pip", **more):
    return cast.ray(name, sire=loan.animal, state_on=ago(90), **more)


def hand_over(client, animal, contact, **more):
    sent = {
        **{"contact": contact.pk, "on": ago(0).isoformat(), "transport": "own_car"},
        "has_read_cautions": "on",
    }
    return client.post(reverse("buyers:hand_over", args=[animal.pk]), sent | more, follow=True)


def counted(loan):
    loan.refresh_from_db()
    found = young_of(loan)
    return found.given, found.left, len(found.promised)


def test_a_hand_over_counts_it_down(as_keeper, loan, ida):
    pip = young(loan)
    page = words(as_keeper.get(reverse("buyers:hand_over", args=[pip.pk])))
    assert "the loan of Castor by Ida Holm, 2 of 2 owed" in page
    hand_over(as_keeper, pip, ida, for_loan=loan.pk)
    assert counted(loan) == (1, 1, 0)
    page = words(as_keeper.get(loan.animal.get_absolute_url()))
    assert "Young owed: 1 of 2 given" in page
    assert "Given: <a" in page
    (this_year, *_) = [one for one in years_of(ida) if one.lent]
    assert [row.animal for row in this_year.owed[0].young.named] == [pip]
    assert "1 of 2 given" in words(as_keeper.get(reverse("arrivals:year", args=[ida.pk])))


def test_one_kept_for_the_owner_is_meant_and_counts_once_it_went(as_keeper, loan, ida):
    pip = young(loan)
    sent = {"contact": ida.pk, "for_loan": loan.pk}
    as_keeper.post(reverse("buyers:reserve", args=[pip.pk]), sent, follow=True)
    assert counted(loan) == (0, 2, 1)
    form = as_keeper.get(reverse("buyers:hand_over", args=[pip.pk])).context["form"]
    assert form["for_loan"].value() == loan.pk
    hand_over(as_keeper, pip, ida, for_loan=loan.pk)
    assert counted(loan) == (1, 1, 0)
    assert YoungGiven.every.count() == 1


def test_that_came_back_it_is_owed_again(as_keeper, loan, ida):
    pip = young(loan)
    hand_over(as_keeper, pip, ida, for_loan=loan.pk)
    take_back(
        HandOver.objects.get(),
        on=ago(0),
        because="too small",
        today=ago(0),
        by=None,
        sure=cast.SURE,
    )
    assert counted(loan) == (0, 2, 1)


def test_to_somebody_else_it_is_refused_with_both_names(as_keeper, loan, ida):
    pip, kim = young(loan), Contact.objects.create(name="Kim")
    answer = hand_over(as_keeper, pip, kim, for_loan=loan.pk)
    assert "Young for Castor are owed to Ida Holm, and this one goes to Kim." in words(answer)
    pip.refresh_from_db()
    assert pip.state == "here"
    assert not YoungGiven.objects.exists()


def test_nothing_is_asked_of_others(as_keeper, loan):
    vega = cast.female("Vega", state_on=ago(90))
    form = as_keeper.get(reverse("buyers:hand_over", args=[vega.pk])).context["form"]
    assert "for_loan" not in form.fields


def test_undone_with_the_hand_over(as_keeper, loan, ida):
    pip = young(loan)
    hand_over(as_keeper, pip, ida, for_loan=loan.pk)
    as_keeper.post(reverse("program:undo", args=[Act.objects.latest("pk").pk]))
    assert counted(loan) == (0, 2, 0)


class TestTheLoansPage:
    def test_who_went_to_them_is_ticked_and_put_right(self, as_keeper, loan, ida):
        pip, pop = young(loan), young(loan, "Pop")
        for one in (pip, pop):
            hand_over(as_keeper, one, ida)
        address = reverse("arrivals:young", args=[loan.pk])
        assert "Pip" in words(as_keeper.get(address))
        page = as_keeper.post(address, {"young": [pip.pk, pop.pk], "young_given": 0}, follow=True)
        assert "Young given for Castor: 2; none is owed any more" in words(page)
        as_keeper.post(address, {"young": [pop.pk], "young_given": 0})
        assert counted(loan) == (1, 1, 0)
        assert [one.animal for one in YoungGiven.objects.all()] == [pop]
        as_keeper.post(address, {"young": [pop.pk], "young_given": 1})
        assert counted(loan) == (2, 0, 0)

    def test_of_one_lent_out_those_that_came_from_there_count(self, as_keeper, ida):
        rigel = cast.male("Rigel", state_on=ago(400))
        loan = loans.lend(rigel, ida, by=None, today=ago(0), since=ago(300), young_owed=1)
        pip = cast.ray("Pip", state_on=ago(20))
        Arrival.objects.create(animal=pip, contact=ida, on=ago(20))
        as_keeper.post(
            reverse("arrivals:young", args=[loan.pk]), {"young": [pip.pk], "young_given": 0}
        )
        assert counted(loan) == (1, 0, 0)

    def test_one_is_given_for_one_loan(self, loan, ida):
        pip = young(loan)
        other = loans.take_in(
            cast.female("Vega", state_on=ago(400)),
            *(ida,),
            **{"by": None, "today": ago(0), "since": ago(30), "young_owed": 1},
        )
        name_young(loan, [pip], young_given=0, by=None, now=clock.now())
        with pytest.raises(ValidationError, match="for the loan of Castor already"):
            name_young(other, [pip], young_given=0, by=None, now=clock.now())


def test_the_day_says_what_is_left_in_as_many_queries_with_more(
    as_keeper, loan, ida, django_assert_num_queries
):
    hand_over(as_keeper, young(loan), ida, for_loan=loan.pk)
    gathered = Gathered(the_program(), ago(0))
    with django_assert_num_queries(3):
        (line,) = loan_lines(gathered)
    assert "Young still owed: 1 pup." in line.why


def test_the_chronicle_tells_for_which_loan(as_keeper, loan, ida):
    pip = young(loan)
    hand_over(as_keeper, pip, ida, for_loan=loan.pk)
    told = words(as_keeper.get(reverse("records:animal", args=[pip.pk])))
    assert "for the loan of" in told
    assert "Castor" in told
