"""What closed seasons teach, against values worked out by hand."""

import datetime
import math

import numpy as np
import pytest

from breeding.gestation.estimate import Profile, Sign, estimate
from breeding.gestation.learning import is_measured, learn, possible_sires

START = datetime.date(2026, 8, 1)


def day(number: int) -> datetime.date:
    return START + datetime.timedelta(days=number)


def test_without_records_the_profile_stays_as_it_is() -> None:
    profile = Profile()
    assert learn(profile, []) is profile


def test_one_record_moves_the_mean_as_far_as_precision_weighting_says() -> None:
    """Own arithmetic: prior 110 with sd 7, record 99 with sd 10."""
    learnt = learn(Profile(), [99])
    by_hand = (110 / 49 + 99 / 100) / (1 / 49 + 1 / 100)
    assert learnt.gestation_mean_days == pytest.approx(by_hand)
    assert learnt.gestation_sd_days == 10


def test_three_records_update_the_sd_too() -> None:
    """Own arithmetic on keepers' records: 99 d (A. Ochs and R. Moll 2003), 110 d (A. Ochs 2002),
    120 d (D. Wehrli 2005); prior weight 8 records for the sd, 100/49 for the mean.
    """
    learnt = learn(Profile(), [99, 110, 120])
    average = 329 / 3
    k = 100 / 49
    squares = sum((x - average) ** 2 for x in (99, 110, 120))
    scale = (8 * 100 + squares + k * 3 / (k + 3) * (average - 110) ** 2) / (8 + 3)
    assert learnt.gestation_mean_days == pytest.approx((k * 110 + 329) / (k + 3))
    assert learnt.gestation_sd_days == pytest.approx(math.sqrt(scale))


def test_many_records_outweigh_the_profile() -> None:
    records = np.random.default_rng(7).normal(125, 5, 400)
    learnt = learn(Profile(), list(records))
    assert learnt.gestation_mean_days == pytest.approx(records.mean(), abs=0.2)
    assert learnt.gestation_sd_days == pytest.approx(records.std(), abs=0.3)
    assert learn(Profile(), list(records[::-1])).gestation_mean_days == pytest.approx(
        learnt.gestation_mean_days
    )


@pytest.mark.parametrize("record", [0, -3, float("nan")])
def test_a_gestation_that_cannot_be_is_refused(record: float) -> None:
    with pytest.raises(ValueError, match="must be above 0"):
        learn(Profile(), [110, record])


def test_only_a_narrow_mating_day_makes_a_birth_a_measurement() -> None:
    assert is_measured(estimate(exposed=[], signs=[Sign(day(0), "copulation")], asof=day(1)))
    assert not is_measured(estimate(exposed=[day(n) for n in range(60)], asof=day(60)))
    assert not is_measured(estimate(exposed=[], asof=day(1)))


def test_males_share_by_the_mating_days_on_which_they_were_there() -> None:
    """Own arithmetic: two exposed days, the first mating falls on day 1 e^(-1/60) as often."""
    est = estimate(exposed=[day(0), day(1)], asof=day(5))
    shares = possible_sires(est, {"Altair": [day(0)], "Deneb": [day(0), day(1)]})
    first = 1 / (1 + math.exp(-1 / 60))
    assert shares["Altair"] == pytest.approx(first / 2)
    assert shares["Deneb"] == pytest.approx(1 - first / 2)


def test_a_sign_that_names_a_male_counts_for_him_alone() -> None:
    days = [day(n) for n in range(10)]
    both = {"Altair": days, "Deneb": days}
    plain = possible_sires(
        estimate(exposed=days, signs=[Sign(day(4), "copulation")], asof=day(9)), both
    )
    assert plain == pytest.approx({"Altair": 0.5, "Deneb": 0.5})
    est = estimate(exposed=days, signs=[Sign(day(4), "copulation", "Deneb")], asof=day(9))
    named = possible_sires(est, both)
    assert named["Deneb"] > 0.9
    assert sum(named.values()) == pytest.approx(1)


def test_bite_marks_that_look_back_before_his_coming_still_count_for_the_male_there_now() -> None:
    est = estimate(exposed=[day(5)], signs=[Sign(day(5), "fresh_bite_marks")], asof=day(9))
    assert possible_sires(est, {"Rigel": [day(5)]}) == pytest.approx({"Rigel": 1})


def test_with_no_male_on_record_there_is_no_guess() -> None:
    est = estimate(exposed=[day(0)], asof=day(5))
    assert possible_sires(est, {}) == {}
    assert possible_sires(estimate(exposed=[], asof=day(5)), {"Rigel": [day(0)]}) == {}
