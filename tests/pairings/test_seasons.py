"""From rows to a season: which facts count, from when on, in whatever order they came in."""

import datetime
import itertools
from functools import partial

import pytest
from django.db import transaction
from django.utils import timezone

from breeding.animals.models import Animal
from breeding.animals.revisions import parentage_changed
from breeding.litters.queries import measured_gestation
from breeding.litters.services import PupFacts, record_birth
from breeding.pairings.models import SignKind
from breeding.pairings.season.drawings import (
    _drawn_company,
    draw_sheet,
    draw_together,
    season_facts,
)
from breeding.pairings.season.exposure import Stretch
from breeding.pairings.season.maybe import has_no_season_yet
from breeding.pairings.season.reading import season_of, seasons
from breeding.pairings.services import (
    log_sighting,
    record_outcome,
    record_scan,
    separate,
)
from breeding.program.queries import the_program
from breeding.program.services import withdraw
from tests import cast

pytestmark = pytest.mark.django_db

NOW = datetime.datetime(2026, 11, 1, 12, tzinfo=datetime.UTC)
TODAY = NOW.date()
pair = partial(cast.pair, today=TODAY)
see = partial(cast.see, now=NOW)


def reckon(female, on):
    return season_of(female, the_program(), asof=cast.day(on))


@pytest.fixture
def mira(owner):
    return cast.female("Mira", pure="motoro")


@pytest.fixture
def deneb(owner):
    return cast.male("Deneb", pure="motoro")


def test_the_day_of_separation_counts_as_a_day_together(mira, deneb):
    pair(mira, deneb, "2026-03-01", "2026-03-03")
    assert reckon(mira, "2026-03-20").exposed == [
        cast.day(f"2026-03-0{number}") for number in (1, 2, 3)
    ]


def test_a_day_with_two_males_is_one_day(mira, deneb):
    pair(mira, deneb, "2026-03-01", "2026-03-03")
    pair(mira, cast.male("Altair"), "2026-03-02", "2026-03-04")
    assert len(reckon(mira, "2026-03-20").exposed) == 4


def test_what_came_later_is_not_known_yet(mira, deneb):
    pair(mira, deneb, "2026-03-01", "2026-03-10")
    see(mira, "2026-03-08")
    record_scan(female=mira, on=cast.day("2026-05-01"), positive=True, today=TODAY, by=None)
    early = reckon(mira, "2026-03-05")
    assert early.together_since == cast.day("2026-03-01")
    assert (len(early.exposed), early.sightings, early.scans) == (5, (), ())
    assert reckon(mira, "2026-02-28").since is None


def test_a_birth_begins_a_new_season_on_its_own_day(mira, deneb):
    """A female may mate within hours of giving birth, so that day's company counts."""
    pair(mira, deneb, "2026-03-01")
    record_birth(dam=mira, born_on=cast.day("2026-06-20"), pups=[PupFacts()], today=TODAY, by=None)
    season = reckon(mira, "2026-06-22")
    assert season.last_outcome.is_birth
    assert season.exposed == [cast.day(f"2026-06-{number}") for number in (20, 21, 22)]
    assert reckon(mira, "2026-06-19").last_outcome is None
    assert len(reckon(mira, "2026-06-19").exposed) == 111


def test_was_not_pregnant_begins_anew_as_well(mira, deneb):
    pair(mira, deneb, "2026-03-01", "2026-03-05")
    see(mira, "2026-03-03")
    assert reckon(mira, "2026-04-01").estimate.chance > 0.7
    record_outcome(
        female=mira, on=cast.day("2026-04-10"), kind="not_pregnant", today=TODAY, by=None
    )
    after = reckon(mira, "2026-04-11")
    assert (after.estimate.chance, after.since, after.is_live) == (0, None, False)
    assert reckon(mira, "2026-04-09").estimate.chance > 0.7


def test_withdrawn_records_count_no_more(mira, deneb):
    pairing = pair(mira, deneb, "2026-03-01", "2026-03-05")
    seen = see(mira, "2026-03-03")
    scan = record_scan(female=mira, on=cast.day("2026-05-05"), positive=True, today=TODAY, by=None)
    for record in (pairing, seen, scan):
        withdraw(record, by=None, now=NOW, reason="Written to the wrong animal.")
    season = reckon(mira, "2026-05-10")
    assert (season.estimate.chance, season.company, season.sightings, season.scans) == (
        0,
        (),
        (),
        (),
    )


def test_the_order_of_entry_never_matters(mira, deneb):
    altair = cast.male("Altair")
    acts = [
        lambda: pair(mira, deneb, "2026-03-01", "2026-03-10"),
        lambda: pair(mira, altair, "2026-03-12", "2026-03-20"),
        lambda: see(mira, "2026-03-05", male=deneb),
        lambda: see(mira, "2026-03-15", "fresh_bite_marks", severity=2),
    ]
    found = []
    for order in itertools.permutations(acts):
        with transaction.atomic():
            for act in order:
                act()
            season = reckon(mira, "2026-05-01")
            shares = {season.males[key]: round(share, 9) for key, share in season.sires.items()}
            chance = round(season.estimate.chance, 12)
            found.append((chance, season.estimate.announced, shares, season.reasons))
            transaction.set_rollback(True)
    assert found[0][0] > 0.8
    assert set(found[0][2]) == {"Deneb", "Altair"}
    assert all(one == found[0] for one in found)


def test_the_announced_window_stays_while_the_present_one_moves(mira, deneb):
    pair(mira, deneb, "2026-03-01", "2026-03-02")
    see(mira, "2026-03-01")
    days = ["2026-05-01", "2026-06-10", "2026-06-25", "2026-07-01"]
    found = [reckon(mira, day).estimate for day in days]
    assert len({one.announced for one in found}) == 1
    starts = [one.due.p05 for one in found]
    assert starts == sorted(starts)
    assert starts[0] < starts[-1]
    assert starts[-1] > cast.day("2026-07-01")
    lateness = [one.lateness for one in found]
    assert lateness == sorted(lateness)
    assert lateness[0] < 0.01
    assert lateness[-1] > 0.8
    chances = [one.chance for one in found]
    assert chances == sorted(chances, reverse=True)


def test_one_past_her_window_is_followed_until_the_keeper_says_how_it_ended(mira, deneb):
    pair(mira, deneb, "2026-03-01", "2026-03-02")
    see(mira, "2026-03-01")
    season = reckon(mira, "2026-09-01")
    assert season.is_overdue
    assert season.is_live
    assert season.state_words == "past her window, hardly pregnant, under 1 %"
    record_outcome(female=mira, on=cast.day("2026-09-01"), kind="unknown", today=TODAY, by=None)
    assert not reckon(mira, "2026-09-02").is_live


def test_the_record_of_2003_through_every_door(owner):
    """Mated 28 February, born 7 June 2003, 9 pups: A. Ochs and R. Moll 2003, keepers' record."""
    dam, sire = cast.female("Vega", pure="motoro"), cast.male("Altair")
    pair(dam, sire, "2003-02-28", "2003-02-28")
    see(dam, "2003-02-28", male=sire)
    born = cast.day("2003-06-07")
    foretold = reckon(dam, "2003-05-01").estimate
    assert foretold.announced.p05 <= born <= foretold.announced.p95
    assert foretold.due == foretold.announced
    litter = record_birth(
        dam=dam, born_on=born, pups=[PupFacts() for _ in range(9)], today=TODAY, by=None
    )
    again = reckon(dam, "2003-05-01").estimate  # what followed changes no past reckoning
    assert (again.chance, again.announced) == (foretold.chance, foretold.announced)
    gestation = measured_gestation(litter, the_program())
    assert (gestation.days, gestation.is_exact) == (99, True)
    assert litter.pups.count() == 9


def test_the_day_of_a_sighting_is_the_programs_day(owner, mira):
    """23:30 in London on 3 July is the next day already in Universal Time plus two hours."""
    cast.the_program(time_zone="Europe/Berlin")
    log_sighting(
        female=mira,
        kind=SignKind.objects.get(key="copulation"),
        seen_at=datetime.datetime(2026, 7, 3, 22, 30, tzinfo=datetime.UTC),
        now=NOW,
        by=None,
    )
    with timezone.override(the_program().zone):
        assert reckon(mira, "2026-07-20").since == cast.day("2026-07-04")


def test_a_hybrids_season_rests_on_the_hybrids_figures(owner):
    dam = cast.female("Vega", pure="motoro")
    hybrid = cast.female("Izar", dam=dam, sire=cast.male("Rigel", pure="leopoldi"))
    parentage_changed()
    assert reckon(dam, "2026-03-01").profile_label == "P. motoro"
    assert "ybrid" in reckon(hybrid, "2026-03-01").profile_label


def test_seasons_are_of_females_here_with_something_to_follow(mira, deneb):
    cast.female("Vega")
    gone = cast.female("Izar", state="left", state_on=cast.day("2026-05-01"))
    for female in (mira, gone):
        pair(female, deneb, "2026-03-01", "2026-03-05")
    found = seasons(the_program(), asof=cast.day("2026-06-01"))
    assert [one.female.call_name for one in found] == ["Mira"]


def test_a_young_female_has_no_season_until_something_is_written_of_her():
    today = cast.day("2026-06-01")
    young = cast.female("Nova", pure="motoro", born_on=cast.day("2026-01-01"), born_precision="day")
    assert has_no_season_yet(young, today)
    assert not has_no_season_yet(cast.female("Izar", pure="motoro"), today)  # of unknown age
    see(young, "2026-05-30")
    assert not has_no_season_yet(young, today)
    assert not has_no_season_yet(young, cast.day("2030-06-01"))


def test_seasons_take_as_many_queries_for_ten_more_females(
    mira, deneb, django_assert_max_num_queries
):
    pair(mira, deneb, "2026-03-01", "2026-03-05")
    for number in range(10):
        female = cast.female(f"Star {number}", pure="motoro")
        pair(female, deneb, "2026-03-06", "2026-03-09")
        see(female, "2026-03-07")
    with django_assert_max_num_queries(24):  # four of them of food
        found = seasons(the_program(), asof=cast.day("2026-04-01"))
        assert all(one.actions for one in found[1:])
    assert len(found) == 11


def test_a_separation_is_drawn_and_the_darkness_is_her_chance(mira, deneb):
    pairing = pair(mira, deneb, "2026-03-01")
    separate(pairing, on=cast.day("2026-03-11"), today=TODAY)
    season = reckon(mira, "2026-04-01")
    drawn = season_facts(season)
    assert drawn.chance == season.estimate.chance
    assert drawn.separations == [cast.day("2026-03-11")]
    assert drawn.apart == [(cast.day("2026-03-12"), None)]
    assert "Mira" in draw_together([season], id="day").words
    assert draw_together([], id="day") is None
    assert draw_sheet([]) is None


def test_of_much_company_the_latest_is_drawn_and_males_of_the_same_days_together():
    """Nine stretches of a day each, and then three males together until now: eight are drawn."""
    days = [datetime.date(2026, 1, n) for n in range(1, 10)]
    males = [Animal(pk=n, call_name=f"M{n}") for n in range(12)]
    stretches = [Stretch(males[n], on, on) for n, on in enumerate(days)]
    stretches += [Stretch(one, datetime.date(2026, 2, 1), None) for one in males[9:]]
    drawn, more = _drawn_company(stretches, None)
    assert [one.male for one in drawn] == [*(f"M{n}" for n in range(2, 9)), "M9, M10 and 1 more"]
    assert (drawn[-1].first, drawn[-1].last, more) == (datetime.date(2026, 2, 1), None, 2)
