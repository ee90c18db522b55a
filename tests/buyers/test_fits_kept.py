"""What fits the wishes is told anew as soon as it is another."""

import pytest
import time_machine
from django.db import connection
from django.urls import reverse
from django.utils import timezone

from breeding.animals.models import Measurement
from breeding.buyers import services, waiting
from breeding.feeding.models import Feeding, Meal
from breeding.litters.models import Pup
from breeding.program.models import Program
from breeding.program.services import withdraw
from breeding.program.unchanged.growing import forget_kept
from breeding.program.unchanged.marks import look_again, watched
from breeding.program.unchanged.rows import SHELF
from breeding.program.unchanged.values import VALUES
from tests import cast
from tests.buyers.litters import TODAY, litter_of
from tests.lists import plain

pytestmark = pytest.mark.django_db(transaction=True)


def forget():
    SHELF.empty()
    VALUES.empty()
    forget_kept()
    look_again()


@pytest.fixture(autouse=True)
def _today_and_nothing_kept_yet(transactional_db):
    forget()
    watched(connection)
    with time_machine.travel(f"{TODAY}T12:00:00Z", tick=False):
        yield
    forget()


@pytest.fixture
def alya(owner):
    """A pup that is old and large enough and never ate, and a wish for a female."""
    litter = litter_of(cast.female("Vega"), cast.male("Deneb"), widths=(130,), sexes="F", fed=False)
    kim = services.add_contact(by=owner, name="Kim Lund")
    waiting.add_wish(
        kim, by=owner, wished_on=cast.day("2026-10-01"), sex="F", least_disc_width_mm=140
    )
    return Pup.objects.get(litter=litter).animal


def measured(alya, owner):
    Measurement.objects.create(animal=alya, on=TODAY, disc_width_mm=150, recorded_by=owner)


def fed(alya, owner):
    now = timezone.now()
    feeding = Feeding.objects.create(fed_at=now, recorded_by=owner)
    Meal.objects.create(feeding=feeding, animal=alya, took="all", fed_at=now)


def kept_for_another(alya, owner):
    bo = services.add_contact(by=owner, name="Bo Lind")
    services.reserve_animal(alya, bo, by=owner, on=TODAY)


def wished_larger(alya, owner):
    waiting.change_wish(waiting.standing_wishes()[0], least_disc_width_mm=200)


def off_the_list(alya, owner):
    withdraw(waiting.standing_wishes()[0], by=owner, reason="found one", now=timezone.now())


def in_inches(alya, owner):
    waiting.change_wish(waiting.standing_wishes()[0], least_disc_width_mm=200)
    Program.objects.update(length_unit="in")


WAYS = (measured, fed, kept_for_another, wished_larger, off_the_list, in_inches)


@pytest.mark.parametrize("write", WAYS, ids=lambda one: one.__name__)
def test_what_is_written_is_told_by_the_next_visit(alya, owner, as_owner, write):
    pages = [
        reverse("buyers:waiting"),
        waiting.standing_wishes()[0].contact.get_absolute_url(),
        reverse("buyers:wishes"),
        reverse("litters:index"),
    ]

    def told():
        return [plain(as_owner.get(page).content.decode()) for page in pages]

    for _ in range(2):
        before = told()
    assert "Alya" in before[0]
    write(alya, owner)
    after = told()
    forget()
    assert after == told()
    assert after[:2] != before[:2]


def test_a_sighting_of_another_animal_reckons_nothing_anew(alya, as_owner, monkeypatch):
    page = reverse("buyers:waiting")
    vega = alya.dam
    for _ in range(2):
        cast.see(vega)
        as_owner.get(page)
    monkeypatch.setattr(waiting, "what_fits", None)
    cast.see(vega)
    assert "Alya" in plain(as_owner.get(page).content.decode())
