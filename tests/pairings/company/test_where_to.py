"""Where a male can go, two put together with one moved, and a loan that ends company."""

import re

import pytest
from django.urls import reverse

from breeding.housing.models import Stay, Tank
from breeding.housing.services import move_animal
from breeding.litters.services import PupFacts, record_birth
from breeding.pairings.care.places import best_few
from breeding.pairings.care.separation import scene_of
from breeding.pairings.models import Pairing
from breeding.pairings.services import open_pairing, separate
from breeding.program import clock
from breeding.program.problems.doubts import DoubtError
from breeding.program.queries import the_program
from tests import cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def pool(owner):
    return Tank.objects.create(name="Boathouse pool")


@pytest.fixture
def nursery(owner):
    return Tank.objects.create(name="Nursery bay", kind="nursery")


def put(animal, tank, days_ago=0, **more):
    return move_animal(animal, tank, on=cast.ago(days_ago), by=None, **more)


@pytest.fixture
def couple(pool):
    vega, rigel = cast.female("Vega"), cast.male("Rigel", born_on=cast.ago(1500))
    put(vega, pool, 30)
    put(rigel, pool, 30)
    return cast.pair(vega, rigel, 30)


@pytest.fixture
def dam_with_pups(nursery):
    """Mira, who rests, with five pups a day old."""
    cast.the_program(rest_days=60)
    mira = cast.female("Mira", born_on=cast.ago(3000))
    put(mira, nursery, 20)
    record_birth(dam=mira, born_on=cast.ago(1), pups=[PupFacts()] * 5, today=clock.today(), by=None)
    return mira


def test_a_tank_with_pups_and_their_resting_dam_is_never_proposed(couple, dam_with_pups):
    scene = scene_of(couple, clock.today(), the_program())
    (place,) = scene.proposals
    assert place.tank.name == "Nursery bay"
    assert "an adult can bite or crush them." in place.against[0]
    assert place.against[-1].startswith("Mira is meant to rest until ")
    assert best_few(scene.proposals) == ([], [place], [])


def test_tanks_with_something_against_them_come_after_all_others(couple, dam_with_pups):
    busy = Tank.objects.create(name="Zinc bay")
    put(cast.female("Nashira"), busy)
    Tank.objects.create(name="Attic")
    scene = scene_of(couple, clock.today(), the_program())
    names = [f"{one}" for one in scene.proposals]
    assert names == ["Attic", "Zinc bay", "Nursery bay"]


def test_the_page_folds_it_away_with_what_speaks_against_it_and_asks_when_it_is_chosen(
    as_keeper, couple, dam_with_pups, nursery
):
    address = reverse("pairings:separate", args=[couple.pk])
    page = cast.words(as_keeper.get(address))
    assert "<summary>1 tank, and something is against it</summary>" in page
    assert "Rigel joins 5 newborn pups in Nursery bay" in page
    sent = {"on": f"{clock.today()}", "moved": "male", "tank": f"{nursery.pk}"}
    asked = as_keeper.post(address, sent)
    mark = re.search(r'name="sure" value="([^"]+)"', asked.content.decode())[1]
    assert Stay.objects.get(animal=couple.male, until=None).tank.name == "Boathouse pool"
    done = as_keeper.post(address, sent | {"sure": mark}, follow=True)
    assert "Rigel joins 5 newborn pups in Nursery bay" in cast.words(done)
    assert Stay.objects.get(animal=couple.male, until=None).tank == nursery


def test_separating_into_kin_asks_for_a_reason(couple, nursery):
    put(cast.female("Lyra", sire=couple.male, born_on=cast.ago(800)), nursery)
    apart = {"on": clock.today(), "today": clock.today(), "moved": "male", "tank": nursery}
    with pytest.raises(DoubtError, match="his daughter Lyra could breed"):
        separate(couple, sure=cast.SURE, **apart)
    separate(couple, sure=cast.SURE, reason="tonight only", **apart)
    assert Stay.objects.get(animal=couple.male, until=None).reason == "tonight only"


def new_pair(female, male, **more):
    return {
        "female": f"{female.pk}",
        "male": f"{male.pk}",
        "introduced_on": f"{clock.today()}",
        "looked_at": f"{female.pk}-{male.pk}",
        **more,
    }


def test_two_in_different_tanks_are_put_together_with_one_moved_in_one_act(
    as_keeper, pool, nursery
):
    vega, rigel = cast.female("Vega"), cast.male("Rigel")
    put(vega, pool, 9)
    put(rigel, nursery, 9)
    address = reverse("pairings:new")
    page = cast.words(as_keeper.post(address, new_pair(vega, rigel, look="1")))
    assert 'value="male" checked> <span>Rigel is moved to Boathouse pool</span>' in page
    assert "<span>Vega is moved to Nursery bay</span>" in page
    as_keeper.post(address, new_pair(vega, rigel, save="1", moved="male"))
    assert Pairing.objects.get().is_open
    assert Stay.objects.get(animal=rigel, until=None).tank == pool


def test_nobody_is_moved_where_that_is_chosen_or_they_are_in_one_tank(as_keeper, pool, nursery):
    vega, rigel = cast.female("Vega"), cast.male("Rigel")
    put(vega, pool, 9)
    put(rigel, nursery, 9)
    as_keeper.post(reverse("pairings:new"), new_pair(vega, rigel, save="1", moved=""))
    assert Stay.objects.get(animal=rigel, until=None).tank == nursery
    mira = cast.female("Mira")
    put(mira, nursery)
    page = cast.words(as_keeper.post(reverse("pairings:new"), new_pair(mira, rigel, look="1")))
    assert "Who is moved?" not in page


def test_whom_the_male_meets_in_her_tank_is_asked_and_the_pairing_waits_for_it(pool, nursery):
    vega, rigel = cast.female("Vega"), cast.male("Rigel", born_on=cast.ago(1500))
    put(vega, pool)
    put(rigel, nursery)
    put(cast.female("Lyra", sire=rigel, born_on=cast.ago(800)), pool)
    facts = {
        "female": vega,
        "male": rigel,
        "introduced_on": clock.today(),
        "program": the_program(),
        "by": None,
        "today": clock.today(),
        "moved": "male",
    }
    with pytest.raises(DoubtError, match="his daughter Lyra"):
        open_pairing(**facts)
    pairing = open_pairing(**facts, sure=cast.SURE, reason="Lyra goes tomorrow")
    assert "his daughter Lyra could breed" in pairing.follows


def test_a_wounded_female_is_asked_about_before_she_is_paired(pool, nursery):
    vega, rigel = cast.female("Vega"), cast.male("Rigel", born_on=cast.ago(1500))
    put(vega, pool, 9)
    put(rigel, nursery, 9)
    cast.see(vega, 1, "fresh_bite_marks", severity=4)
    with pytest.raises(DoubtError, match="Vega is wounded"):
        cast.pair(vega, rigel, 0)
    assert cast.pair(vega, rigel, 0, sure=cast.SURE).is_open
