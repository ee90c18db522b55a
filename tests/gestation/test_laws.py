"""Laws the estimate keeps whatever is entered."""

import datetime
import random
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.gestation.estimate import Profile, Scan, Sign, estimate
from breeding.gestation.reckoned import outlook
from tests.tries import tries

START = datetime.date(2026, 1, 1)
KINDS = ("copulation", "fresh_bite_marks", "biting", "parallel_swimming", "following")

numbers = st.integers(min_value=0, max_value=260)
days = numbers.map(lambda number: START + datetime.timedelta(days=number))
signs = st.builds(Sign, days, st.sampled_from(KINDS))
scans = st.builds(Scan, days, st.booleans())
profiles = st.builds(
    Profile,
    gestation_mean_days=st.floats(60, 200),
    gestation_sd_days=st.floats(1, 25),
    gestation_mean_doubt_days=st.floats(0, 20),
    base_daily=st.floats(0, 0.2),
)
seasons = st.fixed_dictionaries(
    {
        "exposed": st.lists(days, max_size=80),
        "unknown": st.lists(days, max_size=30),
        "looked": st.lists(days, max_size=80),
        "signs": st.lists(signs, max_size=6),
        "scans": st.lists(scans, max_size=3),
        "profile": profiles,
        "asof": days,
        "last_birth": st.none() | days,
    }
)
laws = settings(deadline=None, max_examples=tries(60))


@laws
@given(seasons)
def test_every_share_is_a_share_and_points_are_in_order(season: dict[str, Any]) -> None:
    est = estimate(**season)
    for share in (est.chance, est.announced_chance, est.lateness):
        assert 0 <= share <= 1
    for points in (est.due, est.mating, est.announced):
        if points is not None:
            assert list(points.as_tuple()) == sorted(points.as_tuple())
    for dates, mass in (est.due_distribution, est.mating_distribution):
        assert len(dates) == len(mass)
        assert not np.isnan(mass).any()
        assert mass.sum() == pytest.approx(1 if dates else 0)
    assert (est.due is None) == (est.mating is None) == (est.chance == 0)
    if est.due is not None and est.mating is not None:
        assert est.due.p05 > season["asof"] >= est.mating.p95


@laws
@given(seasons, st.none() | days)
def test_the_outlook_is_that_of_the_estimate(
    season: dict[str, Any], birth_on: datetime.date | None
) -> None:
    est, found = estimate(**season, birth_on=birth_on), outlook(**season, birth_on=birth_on)
    assert found.chance == est.chance
    assert (found.announced_chance, found.announced) == (est.announced_chance, est.announced)


@laws
@given(seasons)
def test_what_carries_the_mating_days_sums_to_one(season: dict[str, Any]) -> None:
    est = estimate(**season)
    kinds = ("sign", "company", "unknown")
    carrying = [r.weight for r in est.reasons if r.kind in kinds and not r.is_against]
    assert sum(carrying) == pytest.approx(1 if carrying else 0)
    assert len(est.named) == len(est.mating_distribution[0])


@laws
@given(seasons, days)
def test_one_more_day_of_company_never_lowers_the_chance(
    season: dict[str, Any], more: datetime.date
) -> None:
    """Of company of which nobody says what was seen: signs and silence may speak against it."""
    silent = {**season, "signs": [], "looked": [], "unknown": []}
    longer = {**silent, "exposed": [*season["exposed"], more]}
    assert estimate(**longer).chance >= estimate(**silent).chance - 1e-12


@laws
@given(seasons, days)
def test_a_positive_scan_never_lowers_the_chance_nor_a_negative_one_raises_it(
    season: dict[str, Any], on: datetime.date
) -> None:
    plain = estimate(**season).chance
    seen = estimate(**{**season, "scans": [*season["scans"], Scan(on, True)]}).chance
    nothing = estimate(**{**season, "scans": [*season["scans"], Scan(on, False)]}).chance
    assert nothing - 1e-12 <= plain <= seen + 1e-12


@laws
@given(seasons)
def test_not_having_given_birth_never_raises_the_chance(season: dict[str, Any]) -> None:
    est = estimate(**season)
    assert est.chance <= est.announced_chance + 1e-12


@laws
@given(seasons, st.randoms(use_true_random=False))
def test_the_order_of_entry_does_not_matter(season: dict[str, Any], dice: random.Random) -> None:
    mixed = dict(season)
    for name in ("exposed", "unknown", "looked", "signs", "scans"):
        mixed[name] = list(season[name])
        dice.shuffle(mixed[name])
    one, other = estimate(**season), estimate(**mixed)
    assert one.chance == other.chance
    assert one.due == other.due
    assert one.announced == other.announced
    assert one.reasons == other.reasons


@laws
@given(seasons, st.integers(min_value=-400, max_value=400))
def test_everything_shifted_by_some_days_shifts_the_answers_by_as_many(
    season: dict[str, Any], by: int
) -> None:
    step = datetime.timedelta(days=by)
    birth = season["last_birth"]
    shifted = {
        **season,
        **{name: [on + step for on in season[name]] for name in ("exposed", "unknown", "looked")},
        "signs": [Sign(sign.on + step, sign.kind) for sign in season["signs"]],
        "scans": [Scan(scan.on + step, scan.positive) for scan in season["scans"]],
        "asof": season["asof"] + step,
        "last_birth": birth and birth + step,
    }
    one, other = estimate(**season), estimate(**shifted)
    assert other.chance == pytest.approx(one.chance, abs=1e-12)
    for before, after in ((one.due, other.due), (one.mating, other.mating)):
        assert (before is None) == (after is None)
        if before is not None and after is not None:
            assert after.as_tuple() == tuple(on + step for on in before.as_tuple())
