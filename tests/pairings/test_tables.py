"""What the lists of pairings and sightings can be narrowed to and sorted by."""

import pytest
from django.urls import reverse

from breeding.pairings.models import SignKind
from breeding.program import clock
from breeding.program.services import withdraw
from tests import cast
from tests.cast import ago, pair, see
from tests.lists import names, page_of

pytestmark = pytest.mark.django_db
PAIRINGS, SIGHTINGS = "pairings:index", "pairings:sightings"


@pytest.fixture
def pairs(owner):
    """Mira with Deneb now; Vega with Altair and Adhara with Deneb before; one by mistake."""
    deneb, altair = cast.male("Deneb"), cast.male("Altair")
    pair(cast.female("Vega", pure="leopoldi"), altair, 60, 40)
    pair(cast.female("Adhara", pure="motoro"), deneb, 90, 80)
    mistaken = pair(cast.female("Spica"), altair, 20)
    withdraw(mistaken, by=None, now=clock.now(), reason="It was Vega.")
    return pair(cast.female("Mira", pure="motoro"), deneb, 5)


def test_pairings_are_found_by_whether_they_are_together(as_viewer, pairs):
    now, before = ["Mira and Deneb"], ["Vega and Altair", "Adhara and Deneb"]
    assert names(as_viewer, PAIRINGS) == now + before
    assert names(as_viewer, PAIRINGS, state="now") == now
    assert names(as_viewer, PAIRINGS, state="past") == before
    assert names(as_viewer, PAIRINGS, state="withdrawn") == [
        "Spica and Altair withdrawn: It was Vega."
    ]


def test_pairings_are_found_by_name_species_and_day(as_viewer, pairs):
    assert names(as_viewer, PAIRINGS, q="altair") == ["Vega and Altair"]
    assert names(as_viewer, PAIRINGS, q="deneb adhara") == ["Adhara and Deneb"]
    leopoldi = cast.species("leopoldi").pk
    assert names(as_viewer, PAIRINGS, species=leopoldi) == ["Vega and Altair"]
    assert names(as_viewer, PAIRINGS, until=ago(60)) == ["Vega and Altair", "Adhara and Deneb"]
    assert names(as_viewer, PAIRINGS, since=ago(60), until=ago(6)) == ["Vega and Altair"]


def test_pairings_are_sorted_by_their_first_and_last_day(as_viewer, pairs):
    by_first = ["Adhara and Deneb", "Vega and Altair", "Mira and Deneb"]
    assert names(as_viewer, PAIRINGS, sort="introduced_on") == by_first
    assert names(as_viewer, PAIRINGS, sort="-introduced_on") == by_first[::-1]
    # Whoever is together has no last day and comes at the end, whichever way.
    assert names(as_viewer, PAIRINGS, sort="separated_on") == by_first
    assert names(as_viewer, PAIRINGS, sort="-separated_on")[-1] == "Mira and Deneb"


def test_those_together_are_taken_apart_from_the_list_by_keepers(as_keeper, as_viewer, pairs):
    separate = reverse("pairings:separate", args=[pairs.pk])
    page = page_of(as_keeper, PAIRINGS)
    assert page.count("Separate</a>") == 1
    assert separate in page
    assert separate not in page_of(as_viewer, PAIRINGS)


@pytest.fixture
def seen(keeper):
    mira, vega = cast.female("Mira"), cast.female("Vega")
    see(mira, 9, male=cast.male("Deneb"))
    see(mira, 5, "fresh_bite_marks", severity=3, note="Left edge")
    see(vega, 2, "fresh_bite_marks", severity=1)
    mistaken = see(vega, 1)
    withdraw(mistaken, by=keeper, now=clock.now(), reason="It was Mira.")


def test_sightings_are_found_by_sign_severity_name_and_day(as_viewer, seen):
    assert names(as_viewer, SIGHTINGS) == ["Vega", "Mira", "Mira"]
    assert names(as_viewer, SIGHTINGS, q="vega") == ["Vega"]
    assert names(as_viewer, SIGHTINGS, q="edge") == ["Mira"]
    bites = SignKind.objects.get(key="fresh_bite_marks").pk
    assert names(as_viewer, SIGHTINGS, kind=bites) == ["Vega", "Mira"]
    assert names(as_viewer, SIGHTINGS, severity="2") == ["Mira"]
    assert names(as_viewer, SIGHTINGS, since=ago(5)) == ["Vega", "Mira"]
    assert names(as_viewer, SIGHTINGS, until=ago(5)) == ["Mira", "Mira"]
    assert names(as_viewer, SIGHTINGS, counting="withdrawn") == ["Vega withdrawn: It was Mira."]
    assert "3 of 4 sightings" in page_of(as_viewer, SIGHTINGS)


def test_sightings_are_found_by_who_saw_them(as_viewer, keeper, owner, seen):
    first = cast.female("Adhara").sightings.create(
        kind=SignKind.objects.first(), seen_at=clock.now(), recorded_by=keeper
    )
    assert names(as_viewer, SIGHTINGS, by=keeper.pk) == [first.female.name]
    assert names(as_viewer, SIGHTINGS, by=owner.pk) == []


def test_sightings_are_sorted_with_what_is_unknown_last(as_viewer, seen):
    by_severity = names(as_viewer, SIGHTINGS, sort="severity")
    assert by_severity == ["Vega", "Mira", "Mira"]
    assert names(as_viewer, SIGHTINGS, sort="-severity") == ["Mira", "Vega", "Mira"]
    assert names(as_viewer, SIGHTINGS, sort="seen_at") == ["Mira", "Mira", "Vega"]
