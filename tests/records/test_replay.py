"""A dated keeper's record replayed: what the program would have said, and what it says after.

Source: A. Ochs & R. Moll 2003, keeper's record: Potamotrygon histrix male and P. motoro female,
mated 2003-02-28, born 2003-06-07, that is 99 days; nine pups, four males and five females; seven
stillborn. The record does not say which of the nine those were; here they are the last seven.
"""

import datetime
import re

import pytest
import time_machine
from django.urls import reverse
from django.utils import timezone

from breeding.animals.parents.parentage import Parents
from breeding.litters.services import PupFacts, record_birth
from breeding.pairings.models import SignKind
from breeding.pairings.services import log_sighting
from breeding.program import clock
from tests import cast

MATED = datetime.date(2003, 2, 28)
BORN = datetime.date(2003, 6, 7)
SEXES = "MMMMFFFFF"


@pytest.fixture
def pair(keeper):
    female = cast.female("Mira", pure="motoro", born_on=cast.day("1998-01-01"))
    male = cast.male("Deneb", pure="histrix", born_on=cast.day("1998-01-01"))
    return female, male


def see_the_mating(female, male, keeper):
    with time_machine.travel(datetime.datetime(2003, 2, 28, 18, tzinfo=datetime.UTC), tick=False):
        log_sighting(
            female=female,
            kind=SignKind.objects.get(key="copulation"),
            seen_at=timezone.now(),
            now=timezone.now(),
            male=male,
            by=keeper,
        )


def page(client, address):
    answer = client.get(address)
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split()), answer.context


def test_on_the_first_of_may_the_due_window_contains_the_birth(pair, keeper, client):
    see_the_mating(*pair, keeper)
    with time_machine.travel(datetime.datetime(2003, 5, 1, 9, tzinfo=datetime.UTC), tick=False):
        client.force_login(keeper)
        words, context = page(client, reverse("pairings:female", args=[pair[0].pk]))
    window = context["season"].estimate.announced
    assert window.p05 <= BORN <= window.p95
    first, last = (f"{on:%a} {on.day} {on:%b} 2003" for on in (window.p05, window.p95))
    said = re.search(r"<dt>Due window<a [^>]*>.*?</a></dt> <dd> (.*?)</dd>", words)
    assert said
    assert said[1].startswith(f"{first} (in")
    assert f"to {last} (in" in said[1]


def test_the_recorded_birth_gives_ninety_nine_days(pair, keeper, client):
    female, male = pair
    see_the_mating(female, male, keeper)
    with time_machine.travel(datetime.datetime(2003, 6, 7, 20, tzinfo=datetime.UTC), tick=False):
        pups = [PupFacts(alive=n < 2, sex=sex) for n, sex in enumerate(SEXES)]
        litter = record_birth(
            dam=female,
            born_on=BORN,
            pups=pups,
            today=clock.today(),
            by=keeper,
            parents=Parents(sire=male),
        )
        client.force_login(keeper)
        words, _ = page(client, litter.get_absolute_url())
        season, _ = page(client, reverse("pairings:female", args=[female.pk]))
    assert (BORN - MATED).days == 99
    assert "<strong>99 days</strong> from mating on Fri 28 Feb 2003" in words
    assert "9 pups" in words
    assert litter.pups.filter(alive=False).count() == 7
    young = litter.pups.filter(alive=True).first().animal
    assert (young.sire, young.dam, young.born_on) == (male, female, BORN)
    assert "Due window" not in season, "the pregnancy is closed"
