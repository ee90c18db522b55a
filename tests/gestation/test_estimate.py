"""The estimate against values worked out apart from it, and how it meets bad input."""

import datetime
from typing import Any

import numpy as np
import pytest
from scipy import stats

from breeding.gestation.estimate import (
    Estimate,
    Points,
    Profile,
    Scan,
    Sign,
    estimate,
    sentences,
)
from breeding.gestation.reckoned import _normal_below

START = datetime.date(2026, 8, 1)


def day(number: int) -> datetime.date:
    return START + datetime.timedelta(days=number)


def numbers(points: Points | None) -> tuple[int, ...]:
    assert points is not None
    return tuple((on - START).days for on in points.as_tuple())


def a_month_with_two_signs(asof: int, *scans: Scan) -> Estimate:
    """Exposed on days 0-29, fresh bite marks on day 12, mating on day 14; gestation 110, sd 10."""
    return estimate(
        exposed=[day(number) for number in range(30)],
        signs=[Sign(day(12), "fresh_bite_marks"), Sign(day(14), "copulation")],
        scans=scans,
        asof=day(asof),
    )


def test_one_certain_mating_day_gives_the_normal_distribution_of_scipy() -> None:
    est = estimate(exposed=[day(10)], asof=day(20))
    assert numbers(est.due) == (104, 113, 120, 127, 136)
    exact = stats.norm(120, 10).ppf([0.05, 0.25, 0.5, 0.75, 0.95])
    assert np.abs(np.array(numbers(est.due)) - exact).max() <= 0.5 + 0.05
    assert est.mating is not None
    assert set(est.mating.as_tuple()) == {day(10)}


def test_the_normal_distribution_is_that_of_scipy_also_far_out() -> None:
    spreads = np.linspace(-30, 30, 6001)
    assert _normal_below(spreads) == pytest.approx(stats.norm.cdf(spreads), rel=1e-12, abs=0)


def test_every_day_of_the_due_distribution_agrees_with_scipy() -> None:
    est = estimate(exposed=[], signs=[Sign(day(0), "copulation")], asof=day(5))
    dates, mass = est.due_distribution
    length = np.array([(on - START).days for on in dates])
    expected = stats.norm.cdf(length + 0.5, 110, 10) - stats.norm.cdf(length - 0.5, 110, 10)
    assert mass == pytest.approx(expected, abs=1e-12)
    assert mass.dtype == np.float64
    assert mass.sum() == pytest.approx(1, abs=1e-12)


# Own arithmetic, made with an independent program and rounded there: chances to three decimals
# days to within one.
@pytest.mark.parametrize(
    ("asof", "scans", "chance", "window"),
    [
        (59, [], 0.850, (106, 124, 141)),
        (110, [], 0.835, (113, 125, 141)),
        (130, [], 0.590, (131, 135, 147)),
        (59, [Scan(day(59), True)], 0.990, (106, 123, 140)),
        (59, [Scan(day(59), False)], 0.459, (108, 126, 145)),
    ],
)
def test_a_month_of_company_with_two_signs_gives_the_values_worked_out_apart(
    asof: int, scans: list[Scan], chance: float, window: tuple[int, int, int]
) -> None:
    est = a_month_with_two_signs(asof, *scans)
    assert est.chance == pytest.approx(chance, abs=0.0006)
    assert numbers(est.due)[::2] == pytest.approx(window, abs=1)


def test_a_month_of_company_agrees_with_the_sum_written_out_day_by_day() -> None:
    """Own arithmetic, in plain loops and without the arrays of the module."""
    seen = {10: 0.40 / 0.045, 11: 0.40 / 0.045, 12: 0.40 / 0.045, 14: 0.25 / 0.0012}
    nothing_after, nothing_without = 0.10, 0.6838
    pregnant = 0.0
    for number in range(30):
        first = np.exp(-number / 60) * (1 - np.exp(-1 / 60))
        looked = sum(on in (12, 14) for on in range(number, number + 3)) / 3
        quiet = (1 - looked * (1 - nothing_after)) / (1 - looked * (1 - nothing_without))
        weight = seen.get(number, quiet)
        pregnant += first * weight * stats.norm.sf(110 - number + 0.5, 110, 10)
    est = a_month_with_two_signs(110)
    assert est.chance == pytest.approx(pregnant / (pregnant + np.exp(-0.5)), abs=1e-9)


def test_the_announced_window_stands_still_while_the_current_one_moves() -> None:
    early, late = a_month_with_two_signs(59), a_month_with_two_signs(130)
    assert early.announced == late.announced == early.due
    assert late.announced_chance == pytest.approx(early.chance, abs=1e-8)
    assert late.due is not None
    assert late.due.p05 > day(130)
    assert early.lateness < 1e-6
    assert late.lateness == pytest.approx(0.746, abs=0.001)  # own arithmetic
    assert late.chance < early.chance


def test_lateness_reaches_the_limit_on_the_last_day_of_the_announced_window() -> None:
    announced = a_month_with_two_signs(59).announced
    assert announced is not None
    last = (announced.p95 - START).days
    assert a_month_with_two_signs(last - 1).lateness < 0.95 <= a_month_with_two_signs(last).lateness


def test_births_drawn_from_the_model_fall_inside_the_window_as_often_as_it_says() -> None:
    """A hundred thousand seasons simulated from the same model, reckoned on day 60.

    Nobody looks but on day 14, and a mating is seen there; those of the drawn seasons in which
    that is seen are compared.
    """
    draws, random = 100_000, np.random.default_rng(20260801)
    mates = random.random((draws, 30)) < -np.expm1(-1 / 60)
    mated = mates.any(axis=1)
    first = np.where(mated, mates.argmax(axis=1), -1)
    seen = random.random(draws) < np.where(first == 14, 0.25, 0.0012)
    born = first + np.rint(random.normal(110, 10, draws))
    est = estimate(
        exposed=[day(number) for number in range(30)],
        signs=[Sign(day(14), "copulation")],
        profile=Profile(signs={"copulation": (0.25, 0.0012)}),
        asof=day(60),
    )
    assert est.due is not None
    dates, mass = est.due_distribution
    said = sum(
        share for on, share in zip(dates, mass, strict=True) if est.due.p05 <= on <= est.due.p95
    )
    births = born[mated & seen & (born > 60)]
    assert births.size > 300
    window = numbers(est.due)
    inside = np.mean((births >= window[0]) & (births <= window[-1]))
    assert inside == pytest.approx(said, abs=4 * np.sqrt(said * (1 - said) / births.size))
    drawn = births.size / (seen & (~mated | (born > 60))).sum()
    assert drawn == pytest.approx(est.chance, abs=0.05)


def test_days_before_the_last_birth_are_left_out_and_the_birth_day_counts() -> None:
    company = [day(number) for number in range(-90, 1)]
    old = Sign(day(-80), "copulation")
    after = estimate(exposed=company, signs=[old], asof=day(30), last_birth=day(0))
    assert numbers(after.mating) == (0, 0, 0, 0, 0)
    assert after.chance == pytest.approx(1 - np.exp(-1 / 60))  # one exposed day
    mated_at_once = estimate(
        exposed=[], signs=[Sign(day(0), "copulation")], asof=day(30), last_birth=day(0)
    )
    odds = np.expm1(1 / 60) * 0.25 / 0.0012
    assert mated_at_once.chance == pytest.approx(odds / (1 + odds))


def test_bite_marks_just_after_a_birth_do_not_speak_of_days_before_it() -> None:
    est = estimate(
        exposed=[day(number) for number in range(-5, 2)],
        signs=[Sign(day(1), "fresh_bite_marks")],
        asof=day(30),
        last_birth=day(0),
    )
    assert est.mating_distribution[0] == (day(0), day(1))


def test_a_scan_on_the_day_of_a_birth_belongs_to_the_season_that_it_ended() -> None:
    scans = [Scan(day(0), True), Scan(day(1), False)]
    est = estimate(exposed=[day(2)], scans=scans, asof=day(30), last_birth=day(0))
    assert [reason.on for reason in est.reasons if reason.kind == "scan"] == [day(1)]


def test_signs_where_no_male_was_say_nothing_but_a_mating_seen_is_company() -> None:
    for kind in ("fresh_bite_marks", "biting", "following"):
        assert estimate(signs=[Sign(day(5), kind)], asof=day(20)).chance == 0
    assert estimate(signs=[Sign(day(5), "copulation")], asof=day(20)).chance > 0.7


def test_marks_seen_after_he_left_speak_of_the_days_on_which_he_was_there() -> None:
    est = estimate(exposed=[day(4)], signs=[Sign(day(6), "fresh_bite_marks")], asof=day(9))
    assert est.mating_distribution[0] == (day(4),)
    assert est.chance > estimate(exposed=[day(4)], asof=day(9)).chance
    late = estimate(exposed=[day(4)], signs=[Sign(day(7), "fresh_bite_marks")], asof=day(9))
    assert late.chance < est.chance


def test_silence_speaks_only_where_somebody_looked_and_the_more_the_oftener() -> None:
    company = [day(number) for number in range(40)]
    chances = [
        estimate(exposed=company, looked=company[::every], asof=day(39)).chance
        for every in (1, 2, 3, 41)
    ]
    assert chances == sorted(chances)
    never = estimate(exposed=company, asof=day(39)).chance
    assert never > chances[-1]


def test_a_day_counted_as_known_is_not_counted_as_unknown_again() -> None:
    days = [day(number) for number in range(20)]
    both = estimate(exposed=days, unknown=days, asof=day(30))
    assert both.chance == estimate(exposed=days, asof=day(30)).chance
    assert estimate(unknown=days, asof=day(30)).chance < both.chance


def test_what_happened_after_the_day_of_reckoning_is_not_known_yet() -> None:
    then = a_month_with_two_signs(13)
    only_so_far = estimate(
        exposed=[day(number) for number in range(14)],
        signs=[Sign(day(12), "fresh_bite_marks")],
        asof=day(13),
    )
    assert then.chance == only_so_far.chance
    assert then.due == only_so_far.due
    with_later = a_month_with_two_signs(59, Scan(day(60), False))
    assert with_later.chance == a_month_with_two_signs(59).chance
    born_later = estimate(exposed=[day(3)], asof=day(30), last_birth=day(31))
    assert born_later.chance == estimate(exposed=[day(3)], asof=day(30)).chance


def test_without_company_or_signs_the_chance_is_nothing_and_there_are_no_dates() -> None:
    est = estimate(exposed=[], asof=day(0), scans=[Scan(day(0), False)])
    assert (est.chance, est.announced_chance, est.lateness) == (0.0, 0.0, 0.0)
    assert est.due is est.mating is est.announced is None
    assert est.due_distribution[0] == ()
    assert est.due_distribution[1].size == 0


@pytest.mark.parametrize("asof", [180, 195, 200, 250, 400, 5000])
def test_long_past_every_gestation_the_chance_runs_out_quietly(asof: int) -> None:
    est = a_month_with_two_signs(asof, Scan(day(59), True))
    assert 0 <= est.chance < 0.001
    assert est.lateness == pytest.approx(1)
    assert not np.isnan(est.due_distribution[1]).any()
    assert est.announced == a_month_with_two_signs(59, Scan(day(59), True)).announced
    assert (est.due is None) == (est.chance == 0)


def test_the_chance_falls_day_by_day_past_the_window_without_a_jump() -> None:
    chances = np.array([a_month_with_two_signs(asof).chance for asof in range(120, 260)])
    assert (np.diff(chances) <= 1e-15).all()
    assert np.diff(chances).min() > -0.05
    assert chances[-1] == 0


def test_reasons_come_with_the_weightiest_first_and_carry_the_mating_days() -> None:
    est = a_month_with_two_signs(59, Scan(day(59), True))
    weights = [reason.weight for reason in est.reasons]
    assert weights == sorted(weights, reverse=True)
    carrying = [r.weight for r in est.reasons if r.kind in ("sign", "company")]
    assert sum(carrying) == pytest.approx(1)


def test_what_speaks_against_a_mating_is_a_reason_of_its_own() -> None:
    days = [day(number) for number in range(14)]
    est = estimate(
        exposed=days, looked=days, signs=[Sign(on, "following") for on in days[:7]], asof=day(13)
    )
    against = {reason.kind: reason for reason in est.reasons if reason.is_against}
    assert set(against) == {"sign", "quiet"}
    assert sentences(est, least=0)[-3:-1] == [
        "following on 7 days from 1 to 7 August 2026, seen more often without a mating",
        "looked at on 7 days from 8 to 14 August 2026, nothing seen",
    ]


def test_marks_on_ten_days_are_one_reason() -> None:
    days = [day(number) for number in range(10)]
    est = estimate(exposed=days, signs=[Sign(on, "fresh_bite_marks") for on in days], asof=day(9))
    (marks,) = [reason for reason in est.reasons if reason.kind == "sign"]
    assert (marks.days, marks.weight) == (10, pytest.approx(1))
    assert marks.text() == "fresh bite marks on 10 days from 1 to 10 August 2026"


def test_reasons_are_said_in_plain_words() -> None:
    est = a_month_with_two_signs(130, Scan(day(40), False), Scan(day(62), False))
    said = sentences(est, lambda on: f"{on.day} {on:%B}", labels={"fresh_bite_marks": "bitten"})
    assert set(said) == {
        "mating seen on 15 August",
        "bitten on 13 August",
        "shared water with a male on 30 days from 1 August to 30 August",
        "scan of 10 September: nothing seen, too early to tell",
        "scan of 2 October: nothing seen",
        "no birth by 9 December",
    }
    named = estimate(exposed=[day(0)], signs=[Sign(day(1), "biting", "deneb")], asof=day(2))
    assert sentences(named, names={"deneb": "Deneb"}) == ["biting with Deneb on 2 August 2026"]
    unsure = estimate(unknown=[day(0), day(1)], asof=day(2))
    assert sentences(unsure) == ["company not known on 2 days from 1 to 2 August 2026"]


def test_an_unknown_kind_of_sign_is_named_with_the_known_ones() -> None:
    with pytest.raises(ValueError, match=r"'wagging'.*biting, copulation, following, fresh"):
        estimate(exposed=[], signs=[Sign(day(0), "wagging")], asof=day(1))


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("gestation_mean_days", 0),
        ("gestation_sd_days", 0),
        ("gestation_sd_days", float("nan")),
        ("base_daily", -0.1),
        ("base_daily", "often"),
        ("gestation_mean_doubt_days", -1),
        ("unknown_factor", 1.5),
        ("window_days", 0),
        ("window_days", 2.5),
        ("scan_sensitivity", 1.2),
        ("scan_specificity", 1.0),
        ("scan_detectable_days", -1),
    ],
)
def test_a_figure_that_cannot_be_is_refused_by_name(field: str, value: Any) -> None:
    with pytest.raises(ValueError, match=rf"{field} is {value!r}"):
        Profile(**{field: value})


@pytest.mark.parametrize("sign", [(0.0, 0.1), (0.5, 0.0), (0.5, 1.5)])
def test_a_sign_that_cannot_be_is_refused_by_name(sign: Any) -> None:
    with pytest.raises(ValueError, match="'nudging'"):
        Profile(signs={"nudging": sign})


def test_signs_that_leave_no_room_for_nothing_seen_are_refused() -> None:
    with pytest.raises(ValueError, match=r"seen in 1\.1 of the windows after a mating"):
        Profile(signs={"copulation": (0.6, 0.1), "biting": (0.5, 0.1)})


def test_a_scan_that_would_speak_against_what_it_shows_is_refused() -> None:
    with pytest.raises(ValueError, match="together be at least 1"):
        Profile(scan_sensitivity=0.3, scan_specificity=0.4)


@pytest.mark.parametrize("wrong", ["2026-08-01", 5, datetime.datetime(2026, 8, 1, 12), None])
def test_what_is_not_a_calendar_day_is_refused(wrong: Any) -> None:
    with pytest.raises(TypeError, match="is not a date"):
        estimate(exposed=[wrong], asof=day(1))
    with pytest.raises(TypeError, match="asof"):
        estimate(exposed=[], asof=wrong)
    with pytest.raises(TypeError, match="scan"):
        estimate(exposed=[], scans=[Scan(wrong, True)], asof=day(1))
