"""All of a tank are placed at once, as each would be after the other."""

import pytest
from auditlog.models import LogEntry
from django.core.exceptions import ValidationError
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from breeding.housing.models import Stay, Tank
from breeding.housing.stays.placing import place, place_all
from tests import cast

pytestmark = pytest.mark.django_db


@pytest.fixture
def tanks():
    return [Tank.objects.create(name=name) for name in ("Pond", "Cove", "Weir")]


@pytest.fixture
def rays(tanks):
    """In the pond: for good, until it was moved on, and after it was elsewhere."""
    pond, cove, weir = tanks
    mira, vega, lyra = (cast.ray(name) for name in ("Mira", "Vega", "Lyra"))
    told = (
        (mira, pond, "2026-03-01", None),
        (vega, pond, "2026-03-01", "2026-03-20"),
        (vega, weir, "2026-03-20", None),
        (lyra, cove, "2026-02-01", "2026-03-03"),
        (lyra, pond, "2026-03-03", None),
    )
    for animal, tank, since, until in told:
        until = until and cast.day(until)
        Stay.objects.create(animal=animal, tank=tank, since=cast.day(since), until=until)
    return [mira, vega, lyra]


def told():
    """Every stay, and the lines of the history that tell of them, in no order."""
    about = ("animal__call_name", "tank__name", "side", "since", "until", "recorded_by")
    rows = Stay.objects.order_by("animal", "since", "until")
    names = dict(Stay.objects.values_list("pk", "animal__call_name"))
    lines = LogEntry.objects.filter(content_type__model="stay").order_by("pk")
    entries = [(names[one.object_id], one.action, _without_keys(one.changes)) for one in lines]
    return list(rows.values_list(*about)), sorted(entries, key=str)


def _without_keys(changes):
    return {name: pair for name, pair in changes.items() if name not in ("id", "recorded_at")}


def both(rays, tank, **how):
    """What is on record after each way."""
    found = []
    for way in (
        lambda: [place(one, tank, **how) for one in rays],
        lambda: place_all(rays, tank, **how),
    ):
        kept = transaction.savepoint()
        way()
        found.append(told())
        transaction.savepoint_rollback(kept)
    return found


@pytest.mark.parametrize("on", ["2026-03-10", "2026-03-03"])
@pytest.mark.parametrize("where", [1, 2])
def test_all_at_once_as_each_after_the_other(rays, tanks, keeper, on, where):
    with transaction.atomic():
        alone, together = both(rays, tanks[where], on=cast.day(on), by=keeper)
    assert alone == together
    assert len(together[0]) > 5


def test_all_out_of_their_tank_at_once(rays, keeper):
    with transaction.atomic():
        alone, together = both(rays, None, on=cast.day("2026-03-10"), by=keeper)
    assert alone == together
    assert [row[4] for row in together[0]].count(cast.day("2026-03-10")) == 3


def test_one_that_cannot_be_placed_stops_all(rays, tanks):
    with pytest.raises(ValidationError, match="Lyra is already in Cove"):
        place_all(rays, tanks[1], on=cast.day("2026-02-10"), by=None)
    assert Stay.objects.count() == 5


def test_as_many_statements_for_many_as_for_two(tanks, keeper):
    pond, cove, _ = tanks
    many = [cast.ray(f"Star {n}") for n in range(12)]
    for one in many:
        Stay.objects.create(animal=one, tank=pond, since=cast.day("2026-03-01"))

    def statements(some, on):
        with CaptureQueriesContext(connection) as asked:
            place_all(some, cove, on=cast.day(on), by=keeper)
        return len([one for one in asked if not one["sql"].startswith("UPDATE")])

    assert statements(many[:2], "2026-03-10") == statements(many[2:], "2026-03-10")
