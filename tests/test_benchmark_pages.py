"""The benchmarks read each page of a record of its own kind, never of one with the same key."""

import datetime

import pytest
from django.urls import reverse

from benchmarks.pages import ROUTES, records_of
from benchmarks.programs.grown import Grown
from breeding.animals.models import Animal
from breeding.buyers.models import Contact
from breeding.housing.models import Tank, WaterTest
from breeding.litters.models import Litter, Pup
from breeding.pairings.models import Outcome, Pairing
from breeding.program import clock
from tests import cast
from tests.cast import ago

pytestmark = pytest.mark.django_db


@pytest.fixture
def grown(owner):
    """One record of each kind, under a key that no other kind has."""
    mira, deneb = cast.female("Mira"), cast.male("Deneb")
    dam = Animal.objects.create(pk=1000, code="D", call_name="Dam", sex="F", origin="wild")
    tank = Tank.objects.create(pk=2000, name="Bay", can_divide=True)
    at = datetime.datetime.combine(ago(1), datetime.time(9), datetime.UTC)
    test = WaterTest.objects.create(pk=3000, tank=tank, tested_at=at, ph=7)
    birth = Outcome.objects.create(female=mira, on=ago(30), kind="live_birth")
    litter = Litter.objects.create(pk=4000, code="L", dam=mira, born_on=ago(30), outcome=birth)
    pup = Animal.objects.create(
        pk=5000, code="P", dam=mira, born_on=ago(30), born_precision="day", origin="here"
    )
    Pup.objects.create(litter=litter, number=1, animal=pup)
    contact = Contact.objects.create(pk=6000, name="Kim")
    pairing = Pairing.objects.create(pk=7000, female=dam, male=deneb, introduced_on=ago(5))
    of_kinds = {"females": [dam], "males": [deneb], "pups": [pup], "tanks": [tank]}
    of_kinds |= {"water_tests": [test], "litters": [litter], "contacts": [contact]}
    return Grown(owner, clock.today(), 3, **of_kinds, pairings=[pairing])


def test_every_page_is_asked_for_by_the_key_of_its_record(as_owner, grown):
    of = records_of(grown)
    assert of.keys() == ROUTES.keys() - {""}
    answered = {
        f"{name} of a {about}": as_owner.get(reverse(name, args=[records[0].pk])).status_code
        for about, records in of.items()
        for name in ROUTES[about].split()
    }
    assert {page: status for page, status in answered.items() if status != 200} == {}
