"""The facts of seasons are read once while a request only reads, and anew when it may write."""

import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from breeding.pairings.models import SignKind
from breeding.pairings.season.disagreements import disagreements
from breeding.pairings.season.exposure import exposure_of
from breeding.pairings.season.facts import Ask, females_here, gather_together
from breeding.pairings.season.past.lessons import gather_with_lessons
from breeding.pairings.season.reading import reckoned, season_of, seasons
from breeding.pairings.services import log_sighting, open_pairing, record_outcome
from breeding.program.frame.memory import for_one_request
from tests import cast
from tests.cast import the_program

TODAY = cast.day("2026-04-01")
NOON = datetime.datetime(2026, 3, 1, 12, tzinfo=datetime.UTC)


def pair(female, male):
    return open_pairing(
        female=female,
        male=male,
        introduced_on=cast.day("2026-03-01"),
        program=the_program(),
        by=None,
        today=TODAY,
    )


def see(female, days=0, kind="copulation"):
    return log_sighting(
        female=female,
        kind=SignKind.objects.get(key=kind),
        seen_at=NOON + datetime.timedelta(days=days),
        now=NOON + datetime.timedelta(days=90),
        by=None,
    )


def end(female, on):
    return record_outcome(female=female, on=cast.day(on), kind="not_pregnant", today=TODAY, by=None)


@pytest.fixture
def mira(owner):
    return cast.female("Mira", pure="motoro")


@pytest.fixture
def vega(owner):
    return cast.female("Vega", pure="motoro")


def test_what_follows_from_gathered_facts_asks_the_database_nothing(mira, vega):
    pair(mira, cast.male("Deneb", pure="motoro"))
    see(mira)
    see(vega)
    end(vega, "2026-03-20")
    asks = [Ask(mira, TODAY), Ask(vega, TODAY)]
    program, facts, closed = the_program(), *gather_with_lessons(asks)
    with CaptureQueriesContext(connection) as asked:
        hers, other = reckoned(program, facts, asks, closed)
        assert hers.estimate.chance > 0.6  # not 0.78: the mating that came to nothing taught
        assert [stretch.male.name for stretch in hers.company] == ["Deneb"]
        assert [one.kind.key for one in hers.sightings] == ["copulation"]
        assert other.sightings == ()
        assert other.last_outcome is not None
    assert len(asked) == 0


def test_company_that_the_seasons_have_read_is_not_read_again_for_disagreements(mira):
    pair(mira, cast.male("Deneb", pure="motoro"))
    program = the_program()
    with for_one_request(only_reads=True):
        assert [one.female for one in seasons(program, asof=TODAY)] == [mira]
        with CaptureQueriesContext(connection) as asked:
            assert disagreements(program, asof=TODAY) == []
    assert len(asked) == 1  # where everybody is


def test_a_female_not_read_before_is_read_beside_those_who_were(mira, vega):
    pair(mira, cast.male("Deneb", pure="motoro"))
    pair(vega, cast.male("Altair", pure="motoro"))
    with for_one_request(only_reads=True):
        gather_together([mira])
        exposure = exposure_of(gather_together([vega]))
    met = {pk: [exposure.males[span.male].name for span in spans] for pk, spans in
           exposure.spans.items()}  # fmt: skip
    assert met == {mira.pk: ["Deneb"], vega.pk: ["Altair"]}


def test_a_request_that_may_write_sees_what_it_has_written(mira):
    see(mira)
    program = the_program()
    with for_one_request():
        assert len(season_of(mira, program, asof=TODAY).sightings) == 1
        see(mira, days=2, kind="following")
        assert len(season_of(mira, program, asof=TODAY).sightings) == 2
        end(mira, "2026-03-20")
        assert season_of(mira, program, asof=TODAY).sightings == ()


def test_those_who_are_here_come_by_name(vega, mira):
    assert [one.name for one in females_here(cast.ago(0))] == ["Mira", "Vega"]
