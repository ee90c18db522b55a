"""An adult that joins newborn pups is asked about once."""

import re

import pytest
from django.urls import reverse

from breeding.housing.models import Stay, Tank
from breeding.housing.services import move_animal, move_everybody
from breeding.pairings.services import separate
from breeding.program import clock
from breeding.program.problems.doubts import DoubtError
from tests import cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def nursery(owner):
    return Tank.objects.create(name="Nursery bay", kind="nursery")


@pytest.fixture
def mira(nursery):
    return cast.female("Mira", born_on=cast.day("2020-01-01"))


@pytest.fixture
def lyra(nursery, mira):
    """A pup of today, in the nursery."""
    lyra = cast.ray("Lyra", dam=mira, born_on=clock.today())
    move_animal(lyra, nursery, on=clock.today(), by=None)
    return lyra


def move(animal, tank, **more):
    return move_animal(animal, tank, on=clock.today(), by=None, **more)


def test_an_adult_that_joins_a_pup_of_today_is_asked_about(nursery, lyra):
    deneb = cast.male("Deneb", born_on=cast.day("2020-01-01"))
    with pytest.raises(DoubtError) as asked:
        move(deneb, nursery)
    (said,) = asked.value.messages
    assert said.startswith("Deneb joins 1 newborn pup in Nursery bay on ")
    assert "(Lyra, the youngest born on" in said
    assert not Stay.objects.filter(animal=deneb).exists()
    assert move(deneb, nursery, sure={one.mark for one in asked.value.doubts}).tank == nursery


def test_one_of_unknown_age_is_asked_about_and_a_pup_is_not(nursery, lyra):
    move(cast.ray("Izar", born_on=cast.ago(90)), nursery)
    with pytest.raises(DoubtError):
        move(cast.male("Rigel"), nursery)


def test_the_dam_joins_her_own_pups_unasked(nursery, mira, lyra):
    assert move(mira, nursery).tank == nursery


def test_pups_of_three_weeks_are_no_newborn_ones(nursery):
    move(cast.ray("Vega", born_on=cast.ago(21)), nursery)
    assert move(cast.male("Rigel"), nursery).tank == nursery


def test_all_of_a_tank_are_asked_about_alike(nursery, lyra):
    pool = Tank.objects.create(name="Boathouse pool")
    move(cast.male("Rigel"), pool)
    with pytest.raises(DoubtError, match="Rigel joins 1 newborn pup"):
        move_everybody(pool, nursery, on=clock.today(), by=None)


def test_separating_into_a_tank_with_newborn_pups_is_asked_about_and_answered(nursery, lyra):
    vega, rigel = cast.female("Vega"), cast.male("Rigel")
    pool = Tank.objects.create(name="Boathouse pool")
    for animal in (vega, rigel):
        move(animal, pool)
    pairing = cast.pair(vega, rigel, 0)
    apart = {"on": clock.today(), "today": clock.today(), "moved": "male", "tank": nursery}
    with pytest.raises(DoubtError) as asked:
        separate(pairing, **apart)
    separate(pairing, sure={one.mark for one in asked.value.doubts}, **apart)
    assert Stay.objects.get(animal=rigel, until=None).tank == nursery


def test_the_page_asks_once(as_keeper, nursery, lyra):
    rigel = cast.male("Rigel")
    address = reverse("housing:move", args=[rigel.pk])
    sent = {"tank": f"{nursery.pk}", "on": f"{clock.today()}"}
    page = as_keeper.post(address, sent)
    assert "Rigel joins 1 newborn pup in Nursery bay" in cast.words(page)
    assert not Stay.objects.filter(animal=rigel).exists()
    mark = re.search(r'name="sure" value="([^"]+)"', page.content.decode())[1]
    assert as_keeper.post(address, sent | {"sure": mark}).status_code == 302
    assert Stay.objects.get(animal=rigel).tank == nursery
