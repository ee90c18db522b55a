"""A pup born on a later day than the first of its litter carries its own day everywhere."""

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.urls import reverse

from breeding.animals.services import change_animal
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.litters.births.correcting import correct_birth
from breeding.litters.births.facts import PupFacts
from breeding.litters.models import Pup
from breeding.litters.queries import contradicting_pups, pups_of
from breeding.litters.services import add_pup, record_birth
from tests import cast
from tests.cast import ago, words

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        cast.the_program()
        yield


@pytest.fixture
def dam():
    return cast.female("Vega", born_on=cast.day("2020-01-01"), born_precision="day")


@pytest.fixture
def litter(dam):
    """Born ten days ago, one pup."""
    return record_birth(dam=dam, born_on=ago(10), pups=[PupFacts()], today=ago(0), by=None)


def contradictions():
    """Of all litters, however old."""
    return contradicting_pups()


def later(litter, days=9, **facts):
    return add_pup(litter, PupFacts(born_on=ago(days), weight_g=80, **facts), by=None)


def test_it_is_born_measured_and_placed_on_its_own_day(dam, litter):
    move_animal(dam, Tank.objects.create(name="B1"), on=ago(30), by=None)
    pup = later(litter)
    assert (pup.day, pup.animal.born_on, pup.animal.state_on) == (ago(9), ago(9), ago(9))
    assert pup.animal.measurements.get().on == ago(9)
    assert pup.animal.stays.get().since == ago(9)
    litter.refresh_from_db()
    assert litter.born_on == ago(10)
    assert contradictions() == []


def test_its_age_is_reckoned_from_it(litter):
    later(litter)
    first, other = pups_of([litter], asof=ago(0))[litter.pk]
    assert first.lacks[0] == "32 more days"
    assert other.lacks[0] == "33 more days"


def test_the_day_of_the_litter_is_none_of_its_own(litter):
    assert later(litter, days=10).born_on is None


@pytest.mark.parametrize(("days", "said"), [(11, "correct the birth"), (-15, "another birth")])
def test_before_the_first_and_weeks_after_it_are_refused(litter, days, said):
    with pytest.raises(ValidationError, match=said):
        later(litter, days=days)


def test_it_is_tapped_in_on_the_page(as_keeper, litter):
    address = reverse("litters:add_pup", args=[litter.pk])
    assert "Born on a later day than the first" in words(as_keeper.get(address))
    as_keeper.post(address, {"fate": "alive", "sex": "F", "born_on": ago(8).isoformat()})
    pup = litter.pups.get(number=2)
    assert (pup.born_on, pup.animal.born_on) == (ago(8), ago(8))
    assert "born Tue 17 Nov" in words(as_keeper.get(litter.get_absolute_url()))
    answer = as_keeper.post(address, {"fate": "dead", "born_on": ago(-2).isoformat()})
    assert "is still to come" in words(answer)
    as_keeper.post(address, {"fate": "dead", "sex": "U"})
    assert litter.pups.get(number=3).day == ago(10)


def test_it_is_put_right_and_moves_what_was_written_with_it(as_keeper, litter):
    pup = later(litter)
    address = reverse("program:change", args=["pup", pup.pk])
    form = as_keeper.get(address).context["form"]
    assert form["born_on"].value() == ago(9)
    sent = {"fate": "alive", "sex": "U", "weight_g": "80"}
    as_keeper.post(address, {**sent, "born_on": ago(7).isoformat()})
    pup.refresh_from_db()
    assert (pup.born_on, pup.animal.born_on) == (ago(7), ago(7))
    assert pup.animal.measurements.get().on == ago(7)
    as_keeper.post(address, sent)
    pup = Pup.objects.get(pk=pup.pk)
    assert (pup.born_on, pup.animal.born_on) == (None, ago(10))


def test_the_birth_corrected_leaves_it_its_day(dam, litter):
    pup = later(litter)
    correct_birth(litter, dam=dam, born_on=ago(12), today=ago(0))
    pup.refresh_from_db()
    assert (pup.day, pup.animal.born_on) == (ago(9), ago(9))
    assert litter.pups.get(number=1).animal.born_on == ago(12)
    correct_birth(litter, dam=dam, born_on=ago(9), today=ago(0))
    assert Pup.objects.get(pk=pup.pk).born_on is None
    pup = later(litter, days=5)
    with pytest.raises(ValidationError, match="put that day right first"):
        correct_birth(litter, dam=dam, born_on=ago(3), today=ago(0))


def test_another_day_on_the_animals_page_can_be_its_own(as_keeper, litter):
    pup = later(litter, days=10)
    assert contradictions() == []
    change_animal(pup.animal, born_on=ago(8), state_on=ago(8))
    (found,) = contradictions()
    assert found.pup == pup
    Pup.objects.filter(pk=pup.pk).update(born_on=ago(8))
    assert contradictions() == []
