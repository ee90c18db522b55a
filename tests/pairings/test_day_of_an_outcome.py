"""To which season a day belongs when one ends and the next begins: facts made up, no rows."""

import datetime
from types import SimpleNamespace

import pytest

from breeding.animals.models import Animal
from breeding.animals.species.profiles import Figures, Profiles
from breeding.gestation import Profile
from breeding.pairings.models import Outcome, Pairing, Scan, SignKind
from breeding.pairings.season.exposure import Exposure, Span
from breeding.pairings.season.facts import Ask, Facts, Past, Together
from breeding.pairings.season.past.closed import (
    ClosedSeason,
    MeasuredGestation,
    closed_seasons,
    gestation_days,
    lessons_of,
)
from breeding.pairings.season.reading import reckoned
from breeding.pairings.season.seen import SeenSign
from breeding.program.models import Program
from tests import cast

START = cast.day("2026-03-01")
MIRA = Animal(pk=1, code="F1", sex="F")
DENEB = Animal(pk=2, code="M1", sex="M")


def on(number):
    return START + datetime.timedelta(days=number)


def ended(number, kind="live_birth", pk=None):
    return Outcome(pk=pk or number, female=MIRA, on=on(number), kind=kind)


def seen(number, kind="copulation", speaks=True, key=0):
    return SeenSign(on(number), kind, speaks, key or number)


# ----------------------------------------------------------------------------- the season asked


FIRST, SECOND = ended(100), ended(200, "not_pregnant")
PAST = Past(
    {1: [FIRST, SECOND]}, {1: [seen(number) for number in (50, 99, 100, 150, 199, 200, 230)]}
)


@pytest.mark.parametrize(
    ("asof", "before", "signs"),
    [
        (99, [], [50, 99]),
        (100, [FIRST], [100]),  # the day of the birth belongs to the season it begins
        (149, [FIRST], [100]),
        (199, [FIRST], [100, 150, 199]),
        (200, [FIRST, SECOND], [200]),
        (230, [FIRST, SECOND], [200, 230]),
    ],
)
def test_the_day_of_an_outcome_begins_the_next_season(asof, before, signs):
    ask = Ask(MIRA, on(asof))
    assert PAST.outcomes_before(ask) == before
    assert PAST.seen_in(ask) == signs


@pytest.mark.parametrize(
    ("until", "before", "signs"),
    [(FIRST, [], [50, 99, 100]), (SECOND, [FIRST], [100, 150, 199, 200])],
)
def test_a_season_that_was_closed_is_asked_for_by_the_outcome_that_closed_it(until, before, signs):
    ask = Ask(MIRA, until.on, until)
    assert PAST.outcomes_before(ask) == before
    assert PAST.seen_in(ask) == signs
    later = Ask(MIRA, on(300), until)
    assert PAST.outcomes_before(later) == before


def test_two_outcomes_of_one_day_close_two_seasons():
    one, two = ended(100, pk=1), ended(100, "unknown", pk=2)
    past = Past({1: [one, two]}, {})
    assert past.outcomes_before(Ask(MIRA, on(100), two)) == [one]
    assert past.seen_in(Ask(MIRA, on(100))) == []


def test_of_a_female_without_any_record_nothing_is_known():
    past = Past({}, {})
    assert past.outcomes_before(Ask(MIRA, on(1))) == past.seen_in(Ask(MIRA, on(1))) == []


# ------------------------------------------------------------------------------ closed seasons


def closed(*outcomes, signs=(), spans=()):
    facts = SimpleNamespace(
        past=Past({1: list(outcomes)}, {1: list(signs)}),
        figures_of=lambda _: Figures("P. motoro", {}, "motoro"),
        looked_at=lambda *_: (),
    )
    exposure = Exposure({1: [Span(2, on(a), on(b), None) for a, b in spans]}, {2: DENEB})
    return list(closed_seasons(facts, exposure))


def test_a_closed_season_holds_what_was_before_its_outcome_and_not_before_the_last():
    signs = [seen(number) for number in (50, 99, 100, 150, 200)]
    signs.append(seen(60, "off_food", speaks=False))
    one, two = closed(FIRST, SECOND, signs=signs, spans=[(40, 120), (190, 230)])
    assert (one.female, one.figures.key, one.since, one.on, one.kind) == (
        *(1, "motoro", None, on(100), "live_birth"),
    )
    assert (two.since, two.on, two.kind) == (on(100), on(200), "not_pregnant")
    assert [sign.sighting for sign in one.signs] == [50, 99]
    assert [sign.sighting for sign in two.signs] == [100, 150]
    assert one.together == ((on(40), on(99)),)
    assert two.together == ((on(100), on(120)), (on(190), on(199)))


def test_a_sign_that_says_something_of_a_mating_is_kept_and_one_that_does_not_is_left_out():
    (one,) = closed(FIRST, signs=[seen(50, "following"), seen(60, "off_food", speaks=False)])
    assert [sign.kind for sign in one.signs] == ["following"]


def test_with_no_outcome_nothing_is_closed():
    assert closed(signs=[seen(5)]) == []


# ------------------------------------------------------------------------- a season from facts


def facts(outcomes=(), pairings=(), signs=(), scans=(), **figures):
    """Mira with Deneb on the days of these pairings; figures of her species as given."""
    rows = [
        Pairing(pk=number, male_id=2, introduced_on=on(a), separated_on=b and on(b))
        for number, (a, b) in enumerate(pairings)
    ]
    card = Figures("P. motoro", figures, "motoro")
    return Facts(
        together=Together(frozenset({1}), {1: rows}, {}, {1: MIRA, 2: DENEB}, {}, {}),
        past=Past({1: list(outcomes)}, {1: list(signs)}),
        sightings={one.sighting: one.sighting for one in signs},
        scans={1: [Scan(pk=number, on=on(number), positive=True) for number in scans]},
        kinds={"copulation": SignKind(key="copulation", after=0.25, without=0.0012)},
        profiles=Profiles({}, {}, card, card),
        shares={},
    )


def read(asof, *, until=None, **given):
    found = facts(**given)
    (season,) = reckoned(Program(), found, [Ask(MIRA, on(asof), until)])
    return season


def spans(stretches):
    return [((one.first - START).days, one.last and (one.last - START).days) for one in stretches]


def test_a_season_is_read_from_the_last_outcome_to_the_day_asked_for():
    given = {
        "outcomes": [FIRST, SECOND],
        "pairings": [(90, 95), (98, 103), (150, 200), (240, None)],
        "signs": [seen(number) for number in (50, 100, 150)],
        "scans": [80, 120, 149, 150],
    }
    found = read(149, **given)
    assert (found.last_outcome, found.outcomes) == (FIRST, (FIRST,))
    assert spans(found.company) == [(100, 103)]
    assert found.sightings == (100,)
    assert [(one.on - START).days for one in found.scans] == [120, 149]
    assert [one.pk for one in read(150, **given).scans] == [120, 149, 150]
    first = read(99, **given)
    assert (first.last_outcome, first.outcomes) == (None, ())
    assert spans(first.company) == [(90, 95), (98, None)]
    assert [one.pk for one in first.scans] == [80]
    assert spans(read(250, **given).company) == [(200, 200), (240, None)]
    assert read(250, **given).last_outcome == SECOND


def test_company_before_the_outcome_counts_for_as_long_as_sperm_is_kept():
    """Kept for 10 days before day 100: from day 90 to day 99."""
    given = {"outcomes": [FIRST], "pairings": [(40, 50), (80, 92), (98, 103)]}
    found = read(120, sperm_kept_days=10, **given)
    assert spans(found.company_before) == [(90, 92), (98, None)]
    assert spans(found.company) == [(100, 103)]
    assert found.sperm_kept_days == 10
    assert spans(read(120, sperm_kept_days=1.9, **given).company_before) == [(99, None)]
    later = {"outcomes": [FIRST], "pairings": [(80, 92), (100, 103)]}
    assert spans(read(120, sperm_kept_days=10, **later).company_before) == [(90, 92)]
    for kept in ({}, {"sperm_kept_days": 0}):
        assert read(120, **given, **kept).company_before == ()
        assert read(120, **given, **kept).sperm_kept_days == 0
    assert read(99, sperm_kept_days=10, **given).company_before == ()


def test_a_birth_teaches_from_its_own_day_on_and_nothing_of_the_season_it_closed():
    given = {"outcomes": [ended(113)], "signs": [seen(3)]}
    assert [read(asof, **given).births_here for asof in (112, 113, 200)] == [0, 1, 1]
    closed = read(113, until=given["outcomes"][0], **given)
    assert (closed.births_here, closed.last_outcome, closed.sightings) == (0, None, (3,))
    two = {"outcomes": [ended(113), ended(230)], "signs": [seen(3), seen(120)]}
    assert read(230, until=two["outcomes"][1], **two).births_here == 1
    assert read(112, until=two["outcomes"][1], **two).births_here == 0


def test_each_season_asked_for_stands_in_its_place():
    found = facts([FIRST], signs=[seen(50), seen(150)])
    asks = [Ask(MIRA, on(160)), Ask(MIRA, on(60)), Ask(MIRA, FIRST.on, FIRST)]
    seasons = reckoned(Program(), found, asks)
    assert [one.sightings for one in seasons] == [(150,), (50,), (50,)]
    assert seasons[0].profile_label == "P. motoro"
    assert seasons[0].profile.gestation_mean_days == 110
    assert read(5, gestation_mean_days=120).prior.gestation_mean_days == 120


# --------------------------------------------------------------------------- measured gestations


def season(born=110, *, kind="live_birth", key="motoro", together=(), mated=None, since=None):
    return ClosedSeason(
        female=1,
        figures=Figures("", {}, key),
        since=since,
        on=on(born),
        kind=kind,
        together=tuple((on(a), on(b)) for a, b in together),
        signs=() if mated is None else (seen(mated),),
        looked=(),
    )


PRIORS = {"motoro": Profile()}


def measured(*seasons, until=1000, priors=None):
    found = lessons_of(seasons, priors or PRIORS, until=on(until)).measured
    return [(one.days, one.is_likely) for rows in found.values() for one in rows]


def test_a_mating_that_was_seen_and_the_birth_measure_a_gestation():
    found = lessons_of([season(113, mated=3)], PRIORS, until=on(113)).measured
    assert found == {"motoro": [MeasuredGestation(1, "motoro", on(113), 110)]}
    assert measured(season(113, mated=3), until=112) == []


def test_only_a_whole_term_of_a_known_profile_is_measured_and_the_others_hinder_none():
    others = [
        season(kind="premature", mated=0),
        season(kind="resorbed", mated=0),
        season(key="no such", mated=0),
        season(2000, mated=1890),
        season(),  # nothing was seen
    ]
    assert measured(*others, season(mated=0)) == [(110, True)]
    assert measured(season(kind="some_dead", mated=1)) == [(109, True)]


def test_company_of_a_day_or_three_is_narrow_and_of_two_months_is_not():
    assert measured(season(together=[(4, 4)])) == [(106, True)]
    assert measured(season(together=[(4, 5)])) == [(106, True)]  # the first is the likelier
    assert measured(season(together=[(4, 6)])) == [(105, True)]  # the middle of the three
    assert measured(season(together=[(0, 59)])) == []


def test_a_mating_seen_after_the_company_is_the_mating():
    assert measured(season(together=[(0, 2)], mated=6)) == [(104, True)]


def test_what_was_before_the_last_outcome_says_nothing():
    assert measured(season(together=[(0, 2), (30, 30)], since=on(10))) == [(80, True)]


def test_a_gestation_too_far_from_the_figures_is_a_gap_in_the_records():
    """Sd 24 and 7 of the mean: their root of squares is 25; four times that is 100 days."""
    priors = {"motoro": Profile(gestation_sd_days=24, gestation_mean_doubt_days=7)}
    days = [10, 9, 210, 211]
    found = measured(*(season(one, mated=0) for one in days), priors=priors)
    assert found == [(10, True), (9, False), (210, True), (211, False)]


def test_only_likely_ones_teach_in_one_order():
    found = [MeasuredGestation(1, "motoro", START, days) for days in (113, 99)]
    found.append(MeasuredGestation(1, "motoro", START, 300, is_likely=False))
    assert gestation_days(found) == [99, 113]
