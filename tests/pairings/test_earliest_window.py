"""The day before which no window opens is said without an estimate, and never too late."""

import datetime

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from breeding.pairings.models import Pairing, Scan
from breeding.pairings.season.reading import season_of
from tests import cast
from tests.cast import day

pytestmark = pytest.mark.django_db
FIRST = day("2025-01-01")
DAYS = st.integers(0, 300).map(lambda n: FIRST + datetime.timedelta(days=n))


@pytest.fixture
def mira():
    return cast.female("Mira", born_on=day("2018-01-01"))


@pytest.fixture
def deneb():
    return cast.male("Deneb", born_on=day("2018-01-01"))


@given(
    together=st.lists(st.tuples(DAYS, st.integers(0, 120)), min_size=1, max_size=3),
    scans=st.lists(st.tuples(DAYS, st.booleans()), max_size=2, unique_by=lambda scan: scan[0]),
    after=st.integers(0, 400),
)
@settings(
    max_examples=40,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
def test_no_window_opens_before_it(mira, deneb, together, scans, after):
    Pairing.objects.all().delete()
    Scan.objects.all().delete()
    for introduced_on, lasts in together:
        separated_on = introduced_on + datetime.timedelta(days=lasts)
        Pairing.objects.create(
            female=mira, male=deneb, introduced_on=introduced_on, separated_on=separated_on
        )
    for on, positive in scans:
        Scan.objects.create(female=mira, on=on, positive=positive)
    asof = min(on for on, _ in together) + datetime.timedelta(days=after)
    read = season_of(mira, cast.program_now(), asof=asof)
    assert read.estimate.announced is not None
    assert read.earliest_window < read.estimate.announced.p05


def test_it_is_not_far_from_the_window_of_a_mating_of_one_day(mira, deneb):
    Pairing.objects.create(female=mira, male=deneb, introduced_on=FIRST, separated_on=FIRST)
    read = season_of(mira, cast.program_now(), asof=FIRST + datetime.timedelta(days=9))
    assert read.estimate.announced is not None
    assert 0 < (read.estimate.announced.p05 - read.earliest_window).days < 20


def test_where_nothing_can_have_been_none_opens_at_all(mira):
    assert season_of(mira, cast.program_now(), asof=FIRST).earliest_window == datetime.date.max
