"""From tanks and pairings to days of company with a mature male."""

import datetime
from functools import partial

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from breeding.animals.services import add_measurement
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.pairings.season.exposure import ALWAYS, exposure_of, mature_since
from breeding.pairings.season.facts import gather_together
from breeding.pairings.season.reading import season_of, seasons
from breeding.pairings.services import record_outcome, separate
from breeding.program.frame.memory import for_one_request
from breeding.program.queries import the_program
from breeding.program.services import withdraw
from tests import cast

TODAY = cast.day("2026-11-01")
BORN = cast.day("2026-01-01")


def limits(born_on, widths):
    return mature_since(born_on, widths, least_days=548, least_mm=270)


def test_where_the_age_is_known_it_decides_whatever_the_size():
    assert limits(BORN, []).since == BORN + datetime.timedelta(days=548)
    assert limits(BORN, [(cast.day("2026-09-05"), 310)]).since == BORN + datetime.timedelta(
        days=548
    )


def test_of_unknown_age_and_size_is_mature_and_said_to_be_unknown():
    assert limits(None, []) == (ALWAYS, False)


def test_of_unknown_age_but_large_when_first_measured_was_mature_before():
    assert limits(None, [(BORN, 310)]) == (ALWAYS, True)


def test_of_unknown_age_and_small_is_mature_at_the_latest_that_many_days_on():
    small = (BORN, 200)
    assert limits(None, [small]).since == BORN + datetime.timedelta(days=548)
    assert limits(None, [small, (cast.day("2026-06-01"), 290)]).since == cast.day("2026-06-01")


pytestmark = pytest.mark.django_db


@pytest.fixture
def pool():
    return Tank.objects.create(name="Boathouse pool")


@pytest.fixture
def bay():
    return Tank.objects.create(name="Quiet bay")


@pytest.fixture
def mira(owner):
    return cast.female("Mira", pure="motoro")


@pytest.fixture
def deneb(owner):
    return cast.male("Deneb", pure="motoro")


def move(animal, tank, on):
    return move_animal(animal, tank, on=cast.day(on), by=None)


pair = partial(cast.pair, today=TODAY)


def reckon(female, on):
    return season_of(female, the_program(), asof=cast.day(on))


def company(female, on="2026-06-01"):
    return [
        (one.male.name, f"{one.first}", one.last and f"{one.last}", *sorted(one.sources))
        for one in reckon(female, on).company
    ]


def test_a_shared_tank_alone_makes_a_season(mira, deneb, pool, bay):
    move(mira, pool, "2026-03-01")
    move(deneb, pool, "2026-03-05")
    move(deneb, bay, "2026-03-14")
    assert company(mira) == [("Deneb", "2026-03-05", "2026-03-14", "tank")]
    assert len(reckon(mira, "2026-06-01").exposed) == 10
    (season,) = seasons(the_program(), asof=cast.day("2026-04-01"))
    assert (season.female, season.since) == (mira, cast.day("2026-03-05"))
    assert season.estimate.chance == pytest.approx(0.153, abs=0.002)  # 1 - exp(-10 / 60)
    assert season.sires == {deneb.pk: 1.0}


def test_tank_and_pairing_are_one_company(mira, deneb, pool, bay):
    for animal in (mira, deneb):
        move(animal, pool, "2026-03-04")
    pairing = pair(mira, deneb, "2026-03-01", "2026-03-10")
    move(deneb, bay, "2026-03-12")
    assert company(mira) == [("Deneb", "2026-03-01", "2026-03-12", "pairing", "tank")]
    (stretch,) = reckon(mira, "2026-06-01").company
    assert (stretch.pairing, stretch.pairings) == (pairing, (pairing,))
    assert len(reckon(mira, "2026-06-01").exposed) == 12


def test_after_the_separation_on_record_a_shared_tank_goes_on_without_a_pairing(mira, deneb, pool):
    for animal in (mira, deneb):
        move(animal, pool, "2026-03-04")
    pairing = pair(mira, deneb, "2026-03-04")
    (now,) = reckon(mira, "2026-03-08").with_now
    assert now.pairing == pairing
    separate(pairing, on=cast.day("2026-03-10"), today=TODAY)
    (still,) = reckon(mira, "2026-03-20").with_now
    assert (still.pairing, still.pairings) == (None, (pairing,))
    assert reckon(mira, "2026-03-20").together_since == cast.day("2026-03-04")


def test_the_birth_day_and_what_follows_belong_to_the_next_season(mira, deneb, pool):
    for animal in (mira, deneb):
        move(animal, pool, "2026-03-04")
    record_outcome(
        female=mira, on=cast.day("2026-05-01"), kind="not_pregnant", today=TODAY, by=None
    )
    assert company(mira, "2026-05-10") == [("Deneb", "2026-05-01", None, "tank")]


def test_a_withdrawn_stay_is_no_company(mira, deneb, pool):
    move(mira, pool, "2026-03-01")
    stay = move(deneb, pool, "2026-03-05")
    withdraw(stay, by=None, now=datetime.datetime(2026, 11, 1, tzinfo=datetime.UTC), reason="No.")
    assert company(mira) == []


def test_pups_that_grow_up_together_are_no_company_until_both_are_mature(owner, pool):
    sister, brother = (
        make(name, pure="motoro", born_on=BORN, born_precision="day")
        for make, name in ((cast.female, "Vega"), (cast.male, "Altair"))
    )
    for animal in (sister, brother):
        move(animal, pool, "2026-01-01")
    assert seasons(the_program(), asof=TODAY) == []
    # 548 days after 1 January 2026 is 3 July 2027.
    assert company(sister, "2027-07-05") == [("Altair", "2027-07-03", None, "tank")]


def test_a_male_of_unknown_age_counts_from_the_day_he_was_measured_as_large(mira, pool):
    bought = cast.male("Altair", pure="motoro")
    add_measurement(bought, by=None, on=cast.day("2026-02-20"), disc_width_mm=240)
    for animal in (mira, bought):
        move(animal, pool, "2026-03-01")
    assert company(mira, "2026-10-01") == []
    add_measurement(bought, by=None, on=cast.day("2026-09-01"), disc_width_mm=275)
    assert company(mira, "2026-10-01") == [("Altair", "2026-09-01", None, "tank")]


def test_whom_the_keeper_pairs_counts_whatever_his_age(mira):
    young = cast.male("Altair", pure="motoro", born_on=BORN, born_precision="day")
    pair(mira, young, "2026-03-01", "2026-03-04")
    assert company(mira) == [("Altair", "2026-03-01", "2026-03-04", "pairing")]


def test_who_counts_as_mature_without_age_or_size_is_known_by_name(mira, deneb, pool):
    for animal in (mira, deneb):
        move(animal, pool, "2026-03-04")
    assert exposure_of(gather_together([mira])).unknown_maturity == {mira.pk, deneb.pk}


def test_ten_more_females_in_ten_tanks_take_no_more_queries(mira, deneb, pool):
    for animal in (mira, deneb):
        move(animal, pool, "2026-03-04")

    def queries():
        program = the_program()
        with CaptureQueriesContext(connection) as asked, for_one_request(only_reads=True):
            found = seasons(program, asof=cast.day("2026-04-01"))
        return len(found), len(asked)

    queries()  # figures and lineage are read once a process
    before = queries()
    for number in range(10):
        tank = Tank.objects.create(name=f"Tank {number}")
        move(cast.female(f"F {number}", pure="motoro"), tank, "2026-03-01")
        move(cast.male(f"M {number}", pure="motoro"), tank, "2026-03-02")
    queries()
    assert before[0] == 1
    assert queries() == (11, before[1])
    assert before[1] <= 16
