"""What is reckoned for many days at once, against the same day by day."""

import datetime
from collections import defaultdict
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import replace
from typing import Any

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.gestation.estimate import Estimate, Profile, Sign, estimate, mating_of
from breeding.gestation.learning import kept_weight, possible_sires
from tests.tries import tries

START = datetime.date(2026, 1, 1)
KINDS = ("copulation", "fresh_bite_marks", "biting", "following")
DENEB, ALTAIR, RIGEL, ATRIA = 4, 7, 11, 15

numbers = st.integers(min_value=0, max_value=160)
days = numbers.map(lambda number: START + datetime.timedelta(days=number))
signs = st.builds(
    Sign, days, st.sampled_from(KINDS), st.none() | st.sampled_from((DENEB, ALTAIR, ATRIA))
)
seasons = st.fixed_dictionaries(
    {
        "exposed": st.lists(days, max_size=80),
        "unknown": st.lists(days, max_size=30),
        "looked": st.lists(days, max_size=60),
        "signs": st.lists(signs, max_size=6),
        "asof": days,
        "last_birth": st.none() | days,
    }
)
spans = st.tuples(numbers, st.integers(min_value=0, max_value=60)).map(
    lambda span: [START + datetime.timedelta(days=span[0] + one) for one in range(span[1])]
)
companies = st.dictionaries(st.sampled_from((RIGEL, DENEB, ALTAIR)), spans, max_size=3)
laws = settings(deadline=None, max_examples=tries(60))


def sires_day_by_day(
    est: Estimate, company: Mapping[int, Iterable[datetime.date]], sperm_kept_days: float
) -> dict[Hashable, float]:
    stays = {male: sorted({on.toordinal() for on in days}) for male, days in company.items()}
    shares: dict[Hashable, float] = defaultdict(float)
    for on, carried, named in zip(*est.mating_distribution, est.named, strict=True):
        weights: dict[Hashable, float] = dict.fromkeys(named, 1.0)
        if not weights:
            there = [male for male, held in stays.items() if on.toordinal() in held]
            weights = dict.fromkeys(there, 1.0)
            for male, held in stays.items():
                weight = kept_weight(held, on.toordinal(), sperm_kept_days)
                if male not in weights and weight:
                    weights[male] = weight
        whole = sum(weights.values())
        for one, weight in weights.items():
            shares[one] += float(carried) * weight / whole
    total = sum(shares.values())
    return {male: share / total for male, share in shares.items() if share > 0}


@laws
@given(seasons, companies, st.sampled_from((0.0, 1.0, 30.0, 365.0)))
def test_sires_are_those_of_day_by_day_to_the_last_digit(
    season: dict[str, Any], company: dict[int, list[datetime.date]], kept_days: float
) -> None:
    est = estimate(**season)
    found = possible_sires(est, company, sperm_kept_days=kept_days)
    assert list(found.items()) == list(sires_day_by_day(est, company, kept_days).items())


def test_males_share_a_day_that_names_nobody_and_one_that_is_gone_counts_half_at_most() -> None:
    """Own arithmetic: of two days the first is Deneb's and Altair's, the second Altair's alone;
    Deneb left the day before it, and sperm is kept for one day: 0.5 (1 - 1/2) = 0.25."""
    dates = (START, START + datetime.timedelta(days=1))
    est = replace(
        estimate(asof=START),
        mating_distribution=(dates, np.array([0.5, 0.5])),
        named=(frozenset(), frozenset()),
    )
    company = {DENEB: [START], ALTAIR: list(dates)}
    assert possible_sires(est, company) == {DENEB: 0.25, ALTAIR: 0.75}
    assert possible_sires(est, company, sperm_kept_days=1) == {
        DENEB: 0.25 + 0.5 * 0.25 / 1.25,
        ALTAIR: 0.25 + 0.5 / 1.25,
    }


@laws
@given(seasons, st.none() | days)
def test_the_mating_is_that_of_the_estimate(
    season: dict[str, Any], birth_on: datetime.date | None
) -> None:
    facts = {**season, "scans": (), "profile": Profile(), "birth_on": birth_on}
    est, found = estimate(**facts), mating_of(**facts)
    assert found.mating == est.mating
    assert found.mating_distribution[0] == est.mating_distribution[0]
    assert np.array_equal(found.mating_distribution[1], est.mating_distribution[1])
