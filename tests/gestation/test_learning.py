"""What closed seasons teach, against values worked out by hand."""

import datetime
import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from breeding.gestation.estimate import Profile, Sign, estimate
from breeding.gestation.learning import is_measured, kept_weight, learn, possible_sires

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


def test_two_records_leave_the_sd_as_it_is() -> None:
    assert learn(Profile(), [90, 130]).gestation_sd_days == 10


def test_a_gestation_of_one_day_is_a_number_like_others() -> None:
    assert learn(Profile(), [1]).gestation_mean_days < 110


@pytest.mark.parametrize("record", [0, -3, float("nan"), float("inf")])
def test_a_gestation_that_cannot_be_is_refused(record: float) -> None:
    with pytest.raises(ValueError, match="must be above 0"):
        learn(Profile(), [110, record])


def test_only_a_narrow_mating_day_makes_a_birth_a_measurement() -> None:
    assert is_measured(estimate(exposed=[], signs=[Sign(day(0), "copulation")], asof=day(1)))
    assert not is_measured(estimate(exposed=[day(n) for n in range(60)], asof=day(60)))
    assert not is_measured(estimate(exposed=[], asof=day(1)))


@pytest.mark.parametrize(("apart", "is_one"), [(9, True), (10, True), (11, False)])
def test_two_days_alike_are_narrow_up_to_ten_days_apart(apart: int, is_one: bool) -> None:
    """Each of two equal halves lies half the distance from their mean: that is the sd."""
    est: Any = SimpleNamespace(
        mating_distribution=((day(0), day(apart)), np.array([0.5, 0.5])),
    )
    assert is_measured(est) is is_one
    nothing: Any = SimpleNamespace(mating_distribution=((), np.zeros(0)))
    assert is_measured(nothing) is False


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


# -------------------------------------------------------------- what is carried, parted by hand


def carrying(days: int, rows: list[tuple[Sign | None, list[float]]]) -> Any:
    """An estimate of so many days from day 0 on; a row for each sign, the last for company."""
    signs = tuple(sign for sign, _ in rows if sign is not None)
    return SimpleNamespace(
        mating_distribution=(tuple(day(n) for n in range(days)), None),
        signs=signs,
        carried=np.array([row for _, row in rows]),
    )


def test_each_day_goes_to_those_who_were_there_and_each_named_sign_to_him_it_names() -> None:
    """Altair day 0: 0.3. Deneb: 0.4 named, 0.1 on day 2, 0.1 looked back from it to day 1.
    0.1 of company on day 1, with nobody there, falls to none. Rigel's sign carries nothing.
    """
    est = carrying(
        3,
        [
            (Sign(day(1), "copulation", "Deneb"), [0.0, 0.4, 0.0]),
            (Sign(day(1), "following", "Rigel"), [0.0, 0.0, 0.0]),
            (Sign(day(2), "fresh_bite_marks"), [0.0, 0.1, 0.1]),
            (None, [0.3, 0.1, 0.0]),
        ],
    )
    found = possible_sires(est, {"Altair": [day(0)], "Deneb": [day(2), day(2)]})
    assert found == pytest.approx({"Altair": 0.3 / 0.9, "Deneb": 0.6 / 0.9})
    assert set(found) == {"Altair", "Deneb"}


def test_a_male_that_is_named_counts_though_no_company_of_his_is_on_record() -> None:
    est = carrying(1, [(Sign(day(0), "copulation", "Rigel"), [0.5]), (None, [0.5])])
    assert possible_sires(est, {"Altair": [day(0)]}) == {"Rigel": 0.5, "Altair": 0.5}


def test_one_that_left_two_days_before_counts_two_fifths_as_much_where_sperm_keeps_nine() -> None:
    """Half, falling to nothing on the tenth day: 1/2 x (1 - 2/10) = 2/5 beside one there."""
    company = {"Altair": [day(0)], "Deneb": [day(1), day(2)]}
    est = carrying(3, [(None, [0.0, 0.0, 0.7])])
    kept = possible_sires(est, company, sperm_kept_days=9)
    assert kept == pytest.approx({"Altair": 0.4 / 1.4, "Deneb": 1 / 1.4})
    assert possible_sires(est, company) == {"Deneb": 1}


@pytest.mark.parametrize(
    ("days_there", "on", "kept_days", "weight"),
    [
        ([1], 2, 9, 0.45),
        ([1], 6, 9, 0.25),
        ([1], 10, 9, 0.05),
        ([1], 11, 9, 0),
        ([1], 12, 9, 0),
        ([1, 3, 8], 9, 9, 0.45),  # since his last day before it
        ([1, 3, 8], 5, 9, 0.4),
        ([5], 5, 9, 0),  # there that day: not one that left
        ([5], 4, 9, 0),  # comes later
        ([1], 2, 1, 0.25),
        ([1], 2, 0, 0),
    ],
)
def test_kept_sperm_counts_half_falling_to_nothing(
    days_there: list[int], on: int, kept_days: float, weight: float
) -> None:
    """1/2 x (1 - days since / (days kept + 1)), by own arithmetic; an assumption."""
    found = kept_weight(days_there, on, kept_days)
    assert found == pytest.approx(weight, abs=1e-12)
    assert found >= 0
