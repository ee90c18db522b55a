"""What the list of litters can be narrowed to and sorted by."""

import datetime

import pytest

from breeding.litters.services import PupFacts, record_birth
from breeding.program import clock
from breeding.program.services import withdraw
from tests import cast
from tests.lists import names, page_of, taken_out

pytestmark = pytest.mark.django_db
LITTERS = "litters:index"


def birth(name, pure, days, pups):
    return record_birth(
        dam=cast.female(name, pure=pure),
        born_on=clock.today() - datetime.timedelta(days=days),
        pups=[PupFacts()] * pups,
        today=clock.today(),
        by=None,
    )


@pytest.fixture
def litters(owner):
    """Of Mira (one pup), Vega (three) and Adhara (six): the first is the youngest."""
    found = [birth("Mira", "motoro", 10, 1), birth("Vega", "leopoldi", 30, 3)]
    return [*found, birth("Adhara", "motoro", 50, 6)]


def test_a_birth_stands_in_figures_where_the_list_is_taken_out(as_viewer, litters):
    columns, rows = taken_out(as_viewer, LITTERS)
    born = columns.index("Born")
    assert [row[born] for row in rows] == [f"{one.born_on:%Y-%m-%d}" for one in litters]
    assert "(10 days ago)" in page_of(as_viewer, LITTERS)


def test_litters_are_found_by_dam_species_size_and_day(as_viewer, litters):
    mira, vega, adhara = (one.code for one in litters)
    assert names(as_viewer, LITTERS) == [mira, vega, adhara]
    assert names(as_viewer, LITTERS, q="vega") == [vega]
    assert names(as_viewer, LITTERS, species=cast.species("motoro").pk) == [mira, adhara]
    assert names(as_viewer, LITTERS, pups="3") == [vega]
    assert names(as_viewer, LITTERS, pups="6") == [adhara]
    month_ago = (clock.today() - datetime.timedelta(days=30)).isoformat()
    assert names(as_viewer, LITTERS, since=month_ago) == [mira, vega]
    assert names(as_viewer, LITTERS, until=month_ago) == [vega, adhara]
    assert names(as_viewer, LITTERS, since=month_ago, until=month_ago) == [vega]
    assert "1 of 3 litters" in page_of(as_viewer, LITTERS, pups="1")


def test_litters_are_sorted_by_dam_and_by_their_pups(as_viewer, litters):
    mira, vega, adhara = (one.code for one in litters)
    assert names(as_viewer, LITTERS, sort="dam") == [adhara, mira, vega]
    assert names(as_viewer, LITTERS, sort="-pup_count") == [adhara, vega, mira]
    assert names(as_viewer, LITTERS, sort="born") == [adhara, vega, mira]


def test_a_withdrawn_litter_is_shown_with_its_reason_to_who_asks(as_viewer, litters):
    mira, vega, adhara = litters
    withdraw(vega, by=None, now=clock.now(), reason="It was Wezen.")
    assert names(as_viewer, LITTERS) == [mira.code, adhara.code]
    assert names(as_viewer, LITTERS, counting="withdrawn") == [
        f"{vega.code} withdrawn: It was Wezen."
    ]
    assert len(names(as_viewer, LITTERS, counting="all")) == 3
