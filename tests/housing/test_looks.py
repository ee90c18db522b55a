"""One tap a tank: all looked at, nothing to see; and what follows for the females in it."""

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from breeding.animals.models import Animal
from breeding.housing.looks import days_looked_at, record_look
from breeding.housing.models import Look, Tank
from breeding.housing.services import move_animal
from breeding.pairings.season.reading import season_of
from breeding.program import clock
from breeding.program.queries import the_program
from breeding.program.services import withdraw
from tests import cast
from tests.cast import ago, words

pytestmark = pytest.mark.django_db
INDEX = reverse("housing:index")


@pytest.fixture
def pool(owner):
    """Mira and Deneb together since twenty days ago."""
    tank = Tank.objects.create(name="Pool")
    move_animal(cast.female("Mira", pure="motoro"), tank, on=ago(20), by=None)
    move_animal(cast.male("Deneb", pure="motoro"), tank, on=ago(20), by=None)
    return tank


def look(tank, days=0):
    return record_look(tank, on=ago(days), today=clock.today(), by=None)


def mira():
    return Animal.objects.get(call_name="Mira")


def chance():
    return season_of(mira(), the_program(), asof=clock.today()).estimate.chance


def test_a_look_a_day_is_enough(pool):
    first, is_new = look(pool)
    again, is_new_again = look(pool)
    assert (first == again, is_new, is_new_again) == (True, True, False)


def test_a_day_to_come_and_a_tank_with_nobody_in_it_are_refused(pool):
    with pytest.raises(ValidationError, match="is still to come"):
        look(pool, -1)
    with pytest.raises(ValidationError, match="Nobody was in Pool"):
        look(pool, 21)


def test_it_counts_for_those_who_were_in_the_tank_on_that_day(pool):
    look(pool, 5)
    look(pool, 2)
    move_animal(mira(), Tank.objects.create(name="Bay"), on=ago(4), by=None)
    assert days_looked_at({mira().pk}) == {mira().pk: {ago(5)}}


def test_nothing_seen_where_somebody_looked_lowers_the_chance_until_it_is_withdrawn(pool):
    before = chance()
    looks = [look(pool, days)[0] for days in range(10)]
    season = season_of(mira(), the_program(), asof=clock.today())
    assert season.estimate.chance < before
    assert any("looked at on 10 days" in reason for reason in season.reasons)
    for one in looks:
        withdraw(one, by=None, now=clock.now(), reason="The other tank.")
    assert chance() == pytest.approx(before)


def test_look_is_one_tap_on_the_tank_and_on_the_list(as_keeper, pool):
    address = reverse("housing:look", args=[pool.pk])
    assert address in words(as_keeper.get(INDEX))
    page = words(as_keeper.post(address, {"back": "index"}, follow=True))
    assert "Pool: all looked at today, nothing to see." in page
    assert address not in page
    page = words(as_keeper.post(address, follow=True))
    assert "Pool: all looked at today already, nothing to see." in page
    (one,) = Look.objects.all()
    assert one.recorded_by.username == "sam"
    assert "/withdraw/look/" in page


def test_look_is_not_asked_for_by_a_link(as_keeper, pool):
    assert as_keeper.get(reverse("housing:look", args=[pool.pk])).status_code == 405
