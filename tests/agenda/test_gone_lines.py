"""A loan ends company for its time; what rests on an animal that is gone stands on the day."""

import pytest
from django.urls import reverse

from breeding.agenda.queries import the_day
from breeding.animals.parents.parentage import Parents
from breeding.animals.services import change_animal, change_state
from breeding.buyers.models import Contact, Reservation
from breeding.housing.models import Stay, Tank
from breeding.housing.services import move_animal
from breeding.pairings.models import Pairing
from breeding.pairings.season.reading import season_of
from breeding.planning.services import plan_pairing
from breeding.program import clock
from breeding.program.problems.doubts import DoubtError
from breeding.program.queries import the_program
from tests import cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def pool(owner):
    return Tank.objects.create(name="Boathouse pool")


@pytest.fixture
def mira(pool):
    return put(cast.female("Mira", born_on=cast.ago(3000)), pool)


@pytest.fixture
def rigel(pool):
    return put(cast.male("Rigel", born_on=cast.ago(3000)), pool)


def put(animal, tank, days_ago=40):
    move_animal(animal, tank, on=cast.ago(days_ago), by=None)
    return animal


def go(animal, state, days_ago=10):
    return change_state(animal, state=state, on=cast.ago(days_ago))


def lines():
    return {one.kind.key: one for one in the_day(the_program(), today=clock.today()).lines}


def test_a_loan_takes_him_out_of_the_tank_ends_the_pairing_and_says_both(as_keeper, mira, rigel):
    pairing = cast.pair(mira, rigel, 40)
    sent = {"state": "on_loan", "on": f"{cast.ago(10)}"}
    page = as_keeper.post(reverse("animals:state", args=[rigel.pk]), sent, follow=True)
    said = cast.words(page)
    assert "It left Boathouse pool; move it in again when it is back." in said
    assert "The pairing of Mira and Rigel ends on" in said
    pairing.refresh_from_db()
    assert (pairing.separated_on, pairing.separation_note) == (
        cast.ago(10),
        "because Rigel went on loan",
    )
    assert Stay.objects.get(animal=rigel).until == cast.ago(10)
    season = season_of(mira, the_program(), asof=clock.today())
    assert [stretch.last for stretch in season.company] == [cast.ago(10)]


def test_a_female_on_loan_is_with_nobody_known_and_not_apart(mira, rigel):
    go(mira, "on_loan")
    season = season_of(mira, the_program(), asof=clock.today())
    assert season.together_since is None
    assert (min(season.unknown), max(season.unknown)) == (cast.ago(10), clock.today())


def test_one_back_from_a_loan_is_asked_about_where_its_stay_was_left_open(mira, pool):
    son = put(cast.male("Altair", dam=mira, born_on=cast.ago(1500)), Tank.objects.create(name="B"))
    change_animal(son, state="on_loan", state_on=cast.ago(10))  # before a loan ended its stay
    Stay.objects.filter(animal=son).update(tank=pool)
    with pytest.raises(DoubtError, match="Altair and his dam Mira could breed"):
        go(son, "here", 0)
    change_state(son, state="here", on=clock.today(), sure=cast.SURE, reason="for a night")
    assert son.is_here


def test_a_death_ends_the_pairing_and_asks_after_what_was_promised_and_planned(mira, rigel):
    pairing = cast.pair(mira, rigel, 40)
    deneb = cast.male("Deneb", born_on=cast.ago(3000))
    facts = {"not_before": clock.today(), "by": None, "today": clock.today()}
    plan_pairing(female=mira, male=deneb, **facts)
    jo = Contact.objects.create(name="Ada Quill")
    Reservation.objects.create(animal=mira, contact=jo, reserved_on=cast.ago(5))
    assert not {"reservation_of_gone", "plan_of_gone"} & lines().keys()
    go(mira, "died", 1)
    pairing.refresh_from_db()
    assert pairing.separated_on == cast.ago(1)
    found = lines()
    promise, plan = found["reservation_of_gone"], found["plan_of_gone"]
    assert promise.what == "reserved for Ada Quill, but Mira died"
    assert promise.outdoors == "reserved, but gone"
    assert [act.words for act in promise.acts] == ["Let it go", "Open the buyer"]
    assert (plan.what, plan.acts[0].words) == ("planned with Deneb, but Mira died", "Give it up")
    assert "planned" not in found
    assert "pairing_of_gone" not in found


def test_a_pairing_left_open_with_one_that_is_gone_stands_until_it_is_ended(mira, rigel):
    pairing = cast.pair(mira, rigel, 40)
    go(rigel, "died", 3)
    Pairing.objects.filter(pk=pairing.pk).update(separated_on=None)
    line = lines()["pairing_of_gone"]
    assert line.what == "and Rigel are together on record, but Rigel died"
    assert [act.words for act in line.acts] == ["Save the separation"]


def test_parents_written_down_later_put_kin_in_one_tank_on_the_day(mira, rigel):
    assert "company_kin" not in lines()
    rigel.born_on = cast.ago(1500)
    rigel.born_precision = "day"
    change_animal(rigel, parents=Parents(None, mira), born_on=cast.ago(1500))
    assert lines()["company_kin"].who == "Rigel"
