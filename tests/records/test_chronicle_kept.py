"""What the chronicle has asked before is asked again as soon as it is another."""

import pytest
from django.core.files import File
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from breeding.animals.models import Measurement
from breeding.animals.services import add_measurement, change_state
from breeding.health.models import Treatment
from breeding.pairings.models import Sighting
from breeding.program import clock
from breeding.program.services import withdraw
from breeding.program.unchanged.growing import forget_kept
from breeding.program.unchanged.marks import look_again, watched
from breeding.program.unchanged.rows import SHELF
from breeding.program.unchanged.values import VALUES
from tests import cast
from tests.everything import picture

pytestmark = pytest.mark.django_db(transaction=True)
CHRONICLE = reverse("records:chronicle")


def forget():
    SHELF.empty()
    VALUES.empty()
    forget_kept()
    look_again()


def own_page(animal):
    return reverse("records:animal", args=[animal.pk])


@pytest.fixture(autouse=True)
def _nothing_kept_yet(transactional_db):
    forget()
    watched(connection)
    yield
    forget()


@pytest.fixture
def mira(owner):
    mira, deneb = cast.female("Mira"), cast.male("Deneb")
    cast.pair(mira, deneb, 60)
    cast.see(mira, 50)
    add_measurement(mira, by=owner, on=cast.ago(40), weight_g=900)
    return mira


def shown(client, address, **query):
    """The words of each entry with its kind, and how many there are of each kind."""
    told = client.get(address, query).context["told"]
    entries = [(one.kind.key, one.told.lead, len(one.changes)) for one in told.entries]
    return entries, {kind.key: number for kind, number in told.counts.items()}, told.told_years


def weighed(mira, owner):
    return add_measurement(mira, by=owner, on=cast.ago(2), weight_g=950)


def seen(mira, owner):
    return cast.see(mira, 3)


def seen_long_ago(mira, owner):
    return cast.see(mira, 59)


def seen_in_a_picture(mira, owner):
    taken = cast.animals.add_photograph(mira, File(picture(), "mira.jpg"), by=owner)
    sighting = cast.see(mira, 4)
    Sighting.objects.filter(pk=sighting.pk).update(photograph=taken)
    return Sighting.objects.create(
        female=mira, kind=sighting.kind, seen_at=clock.now(), photograph=taken, recorded_by=owner
    )


def corrected(mira, owner):
    measured = Measurement.objects.get(animal=mira)
    measured.weight_g = 901
    measured.save()


def withdrawn(mira, owner):
    withdraw(Sighting.objects.latest("pk"), by=owner, reason="a slip", now=clock.now())


def gone(mira, owner):
    change_state(mira, state="left", on=cast.ago(1), by=owner)


WAYS = (weighed, seen, seen_long_ago, seen_in_a_picture, corrected, withdrawn, gone)


@pytest.mark.parametrize("write", WAYS, ids=lambda one: one.__name__)
def test_whatever_is_written_is_told_by_the_next_visit(mira, owner, as_owner, write):
    pages = (CHRONICLE, {}), (CHRONICLE, {"q": "Mira"}), (own_page(mira), {})
    for _ in range(3):
        before = [shown(as_owner, address, **asked) for address, asked in pages]
    write(mira, owner)
    after = [shown(as_owner, address, **asked) for address, asked in pages]
    forget()
    assert after == [shown(as_owner, address, **asked) for address, asked in pages]
    assert after[0] != before[0]
    assert after[2] != before[2]


def test_what_ends_on_a_day_ahead_is_told_when_it_has_come(mira, owner, as_owner, monkeypatch):
    tomorrow = cast.ago(-1)
    Treatment.objects.create(
        animal=mira, remedy="salt", since=cast.ago(2), until=tomorrow, recorded_by=owner
    )
    before = shown(as_owner, CHRONICLE)
    assert shown(as_owner, CHRONICLE) == before
    monkeypatch.setattr(clock, "today", lambda: tomorrow)
    after = shown(as_owner, CHRONICLE)
    forget()
    assert after == shown(as_owner, CHRONICLE)
    assert len(after[0]) == len(before[0]) + 1


def test_after_a_sighting_only_sightings_are_asked_for_again(mira, owner, as_owner):
    def asked():
        with CaptureQueriesContext(connection) as queries:
            as_owner.get(CHRONICLE)
        counted = [one["sql"] for one in queries if "COUNT(*)" in one["sql"]]
        # On PostgreSQL such a count tells how far a table had come.
        return [one for one in counted if "WHERE id <= " not in one]

    for _ in range(2):
        cast.see(mira)
        for _ in range(2):  # how far tables have come is asked for what is used a second time
            as_owner.get(CHRONICLE)
    cast.see(mira)
    (counting,) = asked()
    assert "pairings_sighting" in counting
    assert "animals_measurement" not in counting
