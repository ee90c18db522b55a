"""How one feeds and what it was treated with: on sheet, sales page and hand-over, from records."""

import datetime

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from breeding.feeding.models import Feeding, Food
from breeding.feeding.said import OFFERED
from breeding.health.models import Treatment
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.offers import sales
from breeding.program import clock
from breeding.program.services import withdraw
from breeding.sheets.contents.draft import draft_sheet
from breeding.sheets.shared import links as sheet_links
from tests import cast
from tests.buyers.litters import litter_of, pup
from tests.cast import words

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


@pytest.fixture
def alya(owner):
    dam, sire = cast.female("Vega", pure="leopoldi"), cast.male("Deneb", pure="leopoldi")
    litter = litter_of(dam, sire, fed=False)
    made = sales.change_sales_page(litter, by=owner, pups=litter.pups.all(), words="")
    sheet_links.renew_link(made, by=owner, now=clock.now())
    return pup(litter, "Alya")


@pytest.fixture
def doors(alya, as_keeper):
    """What each door says of how Alya feeds, and what she was treated with."""

    def sheet():
        facts = draft_sheet(alya, program=cast.the_program(), by=None, on=clock.today()).facts
        return f"Feeds on {facts.animal.feeding}. Treatments {facts.animal.treatments}."

    def sales_page():
        page = alya.pup_rows.get().litter.sales_page
        link = sheet_links.link_of(page)
        return words(Client().get(reverse("offers:offer", args=[link.token])))

    def hand_over():
        return words(as_keeper.get(reverse("buyers:hand_over", args=[alya.pk])))

    return lambda: {"sheet": sheet(), "sales page": sales_page(), "hand-over": hand_over()}


def fed(animal, days_ago=20, took="all"):
    food, _ = Food.objects.get_or_create(name="mussel")
    at = timezone.now() - datetime.timedelta(days=days_ago)
    feeding = Feeding.objects.create(food=food, fed_at=at)
    feeding.meals.create(animal=animal, took=took)
    return feeding


NOT_OFFERED = ("sales page",)  # one that does not eat stands on no page of offers


def everywhere(doors, said, besides=()):
    for door, page in doors().items():
        if door not in besides:
            assert said.casefold() in page.casefold(), door


def nowhere(doors, said):
    for door, page in doors().items():
        assert said.casefold() not in page.casefold(), door


def test_where_nothing_was_each_says_that_it_is_not_recorded(doors):
    for door, page in doors().items():
        assert page.casefold().count("not recorded") >= 2, door


def test_what_it_ate_is_said_everywhere(doors, alya):
    fed(alya)
    everywhere(doors, "mussel since 5 November 2026")


def test_a_meal_of_long_ago_is_on_record_too(doors, alya):
    fed(alya, days_ago=90)
    everywhere(doors, "last meal taken on 27 August 2026")


def test_only_refused_is_on_record(doors, alya):
    fed(alya, took="none")
    everywhere(doors, "no meal taken is on record", besides=NOT_OFFERED)


def test_offered_and_nobody_saw_is_said_so(doors, alya):
    fed(alya, took="unseen")
    everywhere(doors, OFFERED)


def test_a_round_that_is_withdrawn_was_none(doors, alya, owner):
    feeding = fed(alya)
    withdraw(feeding, by=owner, now=clock.now(), reason="another tank")
    nowhere(doors, "mussel")


def test_a_treatment_is_said_everywhere_and_none_where_others_were_treated(doors, alya, owner):
    other = Treatment.objects.create(
        animal=cast.female("Spica"), remedy="Willow drops", since=cast.ago(20), until=cast.ago(18)
    )
    everywhere(doors, "none on record")
    own = Treatment.objects.create(
        animal=alya, remedy="Fern drops", since=cast.ago(20), until=cast.ago(18)
    )
    everywhere(doors, "Fern drops from 5 November 2026 to 7 November 2026")
    for one in (own, other):
        withdraw(one, by=owner, now=clock.now(), reason="a slip")
    nowhere(doors, "Fern drops")
    nowhere(doors, "none on record")


def test_a_remedy_in_its_water_is_one_of_its_own(doors, alya):
    tank = Tank.objects.create(name="B1")
    move_animal(alya, tank, on=cast.ago(30), by=None, sure=cast.SURE)
    Treatment.objects.create(tank=tank, remedy="Salt", since=cast.ago(20), until=cast.ago(18))
    everywhere(doors, "Salt in the water from 5 November 2026 to 7 November 2026")
