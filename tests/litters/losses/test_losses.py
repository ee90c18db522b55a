"""Losses: animals that died and pups born dead, by litter, tank, age and cause."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.health.dying.services import ToldDeath, tell_death
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.litters.losses.queries import losses, losses_a_year
from breeding.litters.losses.report import loss_report
from breeding.litters.services import PupFacts, record_birth
from breeding.program import clock
from tests import cast
from tests.cast import ago, words

pytestmark = pytest.mark.django_db


def lose(animal, days):
    animal.state, animal.state_on = "died", ago(days)
    animal.save()
    return animal


@pytest.fixture
def litter(owner):
    mira = cast.female("Mira", born_on=ago(3000))
    move_animal(mira, Tank.objects.create(name="Galley"), on=ago(90), by=None)
    pups = [PupFacts(), PupFacts(alive=False), PupFacts()]
    made = record_birth(dam=mira, born_on=ago(20), pups=pups, today=clock.today(), by=None)
    lose(made.pups.get(number=1).animal, 11)
    return made


def test_a_pup_that_died_and_one_born_dead_are_losses(litter):
    died, born_dead = losses()
    assert (died.litter, died.age_days, died.cause, died.tank.name) == (
        litter,
        9,
        "not known",
        "Galley",
    )
    assert (born_dead.name, born_dead.age_days, born_dead.cause) == (
        str(litter.pups.get(number=2)),
        0,
        "born dead",
    )
    assert born_dead.tank.name == "Galley"


def test_a_cause_is_suspected_or_known(litter):
    animal = litter.pups.get(number=1).animal
    tell_death(animal, ToldDeath("weak"), today=clock.today(), by=None)
    assert (losses()[0].cause, losses()[0].is_suspected) == ("weak from birth", True)


def test_only_those_of_the_days_that_are_asked(litter):
    assert len(losses(ago(15), ago(5))) == 1
    assert losses(ago(5), None) == []
    lose(cast.male("Deneb"), 0).__class__.objects.filter(call_name="Deneb").update(state_on=None)
    assert len(losses()) == 3
    assert len(losses(ago(100), ago(0))) == 2
    assert sum(losses_a_year().values()) == 2


def test_the_page_leads_to_each(as_viewer, litter):
    page = as_viewer.get(reverse("litters:losses"))
    said = words(page)
    assert "2 animals lost, 1 of them born dead." in said
    assert "Too few for a drawn line" in said
    assert litter.pups.get(number=1).animal.get_absolute_url() in said
    report = loss_report(clock.today())
    (row,) = report.by_litter
    assert (len(row.those), row.of) == (2, 3)
    assert [row.label for row in report.by_age] == ["on the day of birth", "8 to 30 days"]


def test_enough_of_several_years_are_drawn(as_viewer, owner):
    for number in range(9):
        lose(cast.male(f"M{number}"), 300 * number)
    page = words(as_viewer.get(reverse("litters:losses")))
    assert 'aria-labelledby="losses-years-title' in page


def test_more_losses_cost_no_more_queries(litter):
    with CaptureQueriesContext(connection) as few:
        losses()
    for number in range(8):
        lose(cast.male(f"M{number}"), number)
    with CaptureQueriesContext(connection) as more:
        losses()
    assert len(more) <= len(few)
