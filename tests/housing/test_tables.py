"""What the lists of tanks and water tests can be narrowed to and sorted by."""

import datetime
from decimal import Decimal

import pytest

from breeding.housing.models import Tank, WaterSystem
from breeding.housing.services import move_animal
from breeding.housing.water.services import record_water_test
from breeding.program import clock
from breeding.program.services import withdraw
from tests import cast
from tests.lists import names, page_of

pytestmark = pytest.mark.django_db
TANKS, TESTS = "housing:tanks", "housing:water_tests"


def ago(days):
    return (clock.today() - datetime.timedelta(days=days)).isoformat()


def read_on(tank, days=0, **read):
    at = clock.now() - datetime.timedelta(days=days)
    values = {name: Decimal(one) if name[-2:] != "as" else one for name, one in read.items()}
    return record_water_test(tank, tested_at=at, now=clock.now(), by=None, **values)


@pytest.fixture
def tanks(owner):
    """A pool with two rays, an empty nursery on a sump, and a tank that one ray has left."""
    pool = Tank.objects.create(name="Boathouse pool", volume_litres=3000)
    sump = WaterSystem.objects.create(name="Gangway sump")
    nursery = Tank.objects.create(name="Nursery", kind="nursery", system=sump, volume_litres=400)
    left = Tank.objects.create(name="Attic", note="by the window")
    for name in ("Mira", "Vega"):
        move_animal(cast.female(name), pool, on=clock.today(), by=None)
    gone = cast.male("Deneb")
    move_animal(gone, left, on=clock.today() - datetime.timedelta(days=9), by=None)
    cast.animals.change_state(gone, state="died", on=clock.today())
    return pool, nursery, left


def test_tanks_are_found_by_name_use_water_and_whether_they_are_empty(as_viewer, tanks):
    _, nursery, _ = tanks
    assert names(as_viewer, TANKS) == ["Attic", "Boathouse pool", "Nursery"]
    assert names(as_viewer, TANKS, q="window") == ["Attic"]
    assert names(as_viewer, TANKS, kind="nursery") == ["Nursery"]
    assert names(as_viewer, TANKS, system=nursery.system_id) == ["Nursery"]
    assert names(as_viewer, TANKS, occupied="taken") == ["Boathouse pool"]
    assert names(as_viewer, TANKS, occupied="free") == ["Attic", "Nursery"]
    assert ">Mira</a>, <a" in page_of(as_viewer, TANKS, q="pool")
    assert ">Deneb</a>" not in page_of(as_viewer, TANKS)


def test_tanks_are_sorted_by_volume_animals_and_the_last_test_that_counts(as_viewer, tanks):
    pool, nursery, _ = tanks
    read_on(pool, 5, ph="7")
    read_on(nursery, 3, ph="7")
    withdraw(read_on(pool, 1, ph="9"), by=None, now=clock.now(), reason="Misread.")
    assert names(as_viewer, TANKS, sort="volume_litres") == ["Nursery", "Boathouse pool", "Attic"]
    assert names(as_viewer, TANKS, sort="-volume_litres") == ["Boathouse pool", "Nursery", "Attic"]
    assert names(as_viewer, TANKS, sort="-animal_count")[0] == "Boathouse pool"
    assert names(as_viewer, TANKS, sort="-last_tested") == ["Nursery", "Boathouse pool", "Attic"]


@pytest.fixture
def tested(tanks):
    """Oldest first: ammonia 0.5 as nitrogen, ammonia 0.6 as the ion, none at all, a misread one."""
    pool, nursery, _ = tanks
    read_on(pool, 9, ammonia_mg_l="0.5", ammonia_as="N", nitrite_mg_l="0")
    read_on(nursery, 6, ammonia_mg_l="0.6", ammonia_as="ion", nitrite_mg_l="0")
    read_on(pool, 3, ammonia_mg_l="0", nitrite_mg_l="0", ph="7.2")
    withdraw(read_on(pool, ph="9.5"), by=None, now=clock.now(), reason="Misread.")


def tanks_in(client, **query):
    page = page_of(client, TESTS, **query)
    return [row.split("</a>")[1].rpartition(">")[2] for row in page.split("<tr")[2:]]


def test_water_tests_are_found_by_tank_reading_and_day(as_viewer, tanks, tested):
    _, nursery, _ = tanks
    assert tanks_in(as_viewer) == ["Boathouse pool", "Nursery", "Boathouse pool"]
    assert tanks_in(as_viewer, tank=nursery.pk) == ["Nursery"]
    assert tanks_in(as_viewer, q="boathouse") == ["Boathouse pool"] * 2
    assert tanks_in(as_viewer, reads="found") == ["Nursery", "Boathouse pool"]
    assert tanks_in(as_viewer, reads="none") == ["Boathouse pool"]
    assert tanks_in(as_viewer, since=ago(6), until=ago(6)) == ["Nursery"]
    (withdrawn,) = names(as_viewer, TESTS, counting="withdrawn")
    assert withdrawn.endswith("withdrawn: Misread.")
    assert "3 of 4 water tests" in page_of(as_viewer, TESTS)


def test_water_tests_are_sorted_by_the_ion_in_whichever_unit_they_were_read(
    as_viewer, tanks, tested
):
    # 0.5 mg/L NH4-N are 0.64 mg/L NH4 (18.039 / 14.007), more than 0.6.
    sorted_down = tanks_in(as_viewer, sort="-ammonia")
    assert sorted_down == ["Boathouse pool", "Nursery", "Boathouse pool"]
    assert "0.5 mg/L NH4-N" in page_of(as_viewer, TESTS, sort="-ammonia").split("<tr")[2]
