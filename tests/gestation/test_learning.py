"""What closed seasons teach, against values worked out by hand."""

import datetime
import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from breeding.gestation.estimate import Profile, Sign, estimate
from breeding.gestation.learning import (
    Counted,
    count_windows,
    is_measured,
    kept_weight,
    learn,
    learn_signs,
    possible_sires,
)

DOUBTED = Profile(gestation_mean_doubt_days=7.0)
START = datetime.date(2026, 8, 1)


def day(number: int) -> datetime.date:
    return START + datetime.timedelta(days=number)


def test_without_records_the_profile_stays_as_it_is() -> None:
    profile = Profile()
    assert learn(profile, []) is profile


def test_one_record_moves_the_mean_as_far_as_precision_weighting_says() -> None:
    """Own arithmetic: prior 110 with sd 7, record 99 with sd 10."""
    learnt = learn(DOUBTED, [99])
    by_hand = (110 / 49 + 99 / 100) / (1 / 49 + 1 / 100)
    assert learnt.gestation_mean_days == pytest.approx(by_hand)
    assert learnt.gestation_mean_doubt_days == pytest.approx((1 / 49 + 1 / 100) ** -0.5)
    assert learnt.gestation_sd_days == 10


def test_three_records_update_the_sd_too() -> None:
    """Own arithmetic on keepers' records: 99 d (A. Ochs and R. Moll 2003), 110 d (A. Ochs 2002),
    120 d (D. Wehrli 2005); prior weight 8 records for the sd, 100/49 for the mean.
    """
    learnt = learn(DOUBTED, [99, 110, 120])
    average = 329 / 3
    k = 100 / 49
    squares = sum((x - average) ** 2 for x in (99, 110, 120))
    scale = (8 * 100 + squares + k * 3 / (k + 3) * (average - 110) ** 2) / (8 + 3)
    assert learnt.gestation_mean_days == pytest.approx((k * 110 + 329) / (k + 3))
    assert learnt.gestation_sd_days == pytest.approx(math.sqrt(scale))


def test_a_mean_without_a_doubt_stays_and_only_the_sd_is_learned() -> None:
    """Own arithmetic: deviations from 110 squared are 121, 0 and 100."""
    learnt = learn(Profile(), [99, 110, 120])
    assert (learnt.gestation_mean_days, learnt.gestation_mean_doubt_days) == (110, 0)
    assert learnt.gestation_sd_days == pytest.approx(math.sqrt((8 * 100 + 221) / 11))


def test_many_records_outweigh_the_profile() -> None:
    records = np.random.default_rng(7).normal(125, 5, 400)
    learnt = learn(DOUBTED, list(records))
    assert learnt.gestation_mean_days == pytest.approx(records.mean(), abs=0.2)
    assert learnt.gestation_sd_days == pytest.approx(records.std(), abs=0.3)
    assert learn(DOUBTED, list(records[::-1])).gestation_mean_days == pytest.approx(
        learnt.gestation_mean_days
    )


def test_two_records_leave_the_sd_as_it_is() -> None:
    assert learn(Profile(), [90, 130]).gestation_sd_days == 10


def test_a_gestation_of_one_day_is_a_number_like_others() -> None:
    assert learn(DOUBTED, [1]).gestation_mean_days < 110


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


def test_marks_of_one_male_do_not_speak_of_the_days_before_they_can_come_from() -> None:
    days = [day(n) for n in range(10)]
    est = estimate(exposed=days, signs=[Sign(day(9), "fresh_bite_marks", "Rigel")], asof=day(9))
    marked = sum(mass for on, mass in zip(*est.mating_distribution, strict=True) if on >= day(7))
    shares = possible_sires(est, {"Altair": days})
    assert shares == pytest.approx({"Rigel": marked, "Altair": 1 - marked})


def test_with_no_male_on_record_there_is_no_guess() -> None:
    est = estimate(exposed=[day(0)], asof=day(5))
    assert possible_sires(est, {}) == {}
    assert possible_sires(estimate(exposed=[], asof=day(5)), {"Rigel": [day(0)]}) == {}


def after_a_mating_on(number: int, *signs: Sign) -> Counted:
    """A mating seen on one day of ten in company, looked at daily."""
    days = [day(n) for n in range(10)]
    seen = [Sign(day(number), "copulation"), *signs]
    found = estimate(exposed=days, looked=days, signs=seen, asof=day(9))
    return count_windows(exposed=days, looked=days, signs=seen, profile=Profile(), mating=found)


def test_a_pregnant_season_counts_one_window_after_and_the_days_away_from_it_without() -> None:
    """Days 8 and 9 reach beyond the last day; each window without counts as a third."""
    counted = after_a_mating_on(1)
    assert set(counted.after) == {"copulation"}
    assert counted.after["copulation"] == pytest.approx(1, abs=0.05)
    assert set(counted.without) == {""}
    assert counted.without[""] == pytest.approx((4 + 2 / 3 + 1 / 3) / 3, abs=1e-9)


def test_a_season_without_a_pregnancy_counts_every_window_as_one_without() -> None:
    """Own arithmetic: marks on day 3 make the windows of days 1, 2 and 3; six days, two past."""
    days = [day(n) for n in range(6)]
    counted = count_windows(
        exposed=days,
        looked=days,
        signs=[Sign(day(3), "fresh_bite_marks")],
        profile=Profile(),
        mating=None,
    )
    assert counted.after == {}
    assert counted.without == pytest.approx({"fresh_bite_marks": 1, "": (1 + 2 / 3 + 1 / 3) / 3})


def test_what_nobody_looked_at_teaches_nothing_of_signs() -> None:
    days = [day(n) for n in range(6)]
    counted = count_windows(exposed=days, looked=[], signs=[], profile=Profile(), mating=None)
    assert counted.windows == (0, 0)
    assert learn_signs(Profile(), counted).signs == Profile().signs


def test_the_table_of_signs_moves_as_twenty_windows_and_those_counted_say() -> None:
    """Own arithmetic: (20 x 0.40 + 6) / 30 after ten matings, (20 x 0.045 + 1) / 60 without."""
    counted = Counted({"fresh_bite_marks": 6.0, "": 4.0}, {"fresh_bite_marks": 1.0, "": 39.0})
    learnt = learn_signs(Profile(), counted)
    assert learnt.signs["fresh_bite_marks"] == pytest.approx((14 / 30, 1.9 / 60))
    assert learnt.nothing_after == pytest.approx((20 * 0.10 + 4) / 30)
    assert list(learnt.signs) == list(Profile().signs)


# -------------------------------------------------------------- what is carried, parted by hand


def carrying(*days: tuple[float, str]) -> Any:
    """An estimate of so many days from day 0 on: the mass of each, and the male named or none."""
    return SimpleNamespace(
        mating_distribution=(
            tuple(day(n) for n in range(len(days))),
            np.array([mass for mass, _ in days]),
        ),
        named=tuple(frozenset([male] if male else []) for _, male in days),
    )


def test_each_day_goes_to_him_it_names_else_to_those_who_were_there() -> None:
    """Altair day 0: 0.3. Deneb: 0.4 named on day 1, 0.2 on day 2. 0.1 falls to nobody."""
    est = carrying((0.3, ""), (0.4, "Deneb"), (0.2, ""), (0.1, ""))
    found = possible_sires(est, {"Altair": [day(0), day(1)], "Deneb": [day(2), day(2)]})
    assert found == pytest.approx({"Altair": 0.3 / 0.9, "Deneb": 0.6 / 0.9})


def test_a_male_that_is_named_counts_though_no_company_of_his_is_on_record() -> None:
    est = carrying((0.5, "Rigel"), (0.5, ""))
    assert possible_sires(est, {"Altair": [day(1)]}) == {"Rigel": 0.5, "Altair": 0.5}


def test_one_that_left_two_days_before_counts_two_fifths_as_much_where_sperm_keeps_nine() -> None:
    """Half, falling to nothing on the tenth day: 1/2 x (1 - 2/10) = 2/5 beside one there."""
    company = {"Altair": [day(0)], "Deneb": [day(1), day(2)]}
    est = carrying((0.0, ""), (0.0, ""), (0.7, ""))
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
