"""Which days count, and what is too little to be said: first and last days met exactly."""

import datetime

import pytest

from breeding.gestation import Scan, Sign, estimate

START = datetime.date(2026, 3, 1)


def day(number: int) -> datetime.date:
    return START + datetime.timedelta(days=number)


def test_what_was_on_the_day_of_reckoning_counts_and_what_comes_after_does_not() -> None:
    assert estimate(exposed=[day(5)], asof=day(5)).chance > 0
    assert estimate(exposed=[day(6)], asof=day(5)).chance == 0
    mated = Sign(day(5), "copulation")
    assert estimate(exposed=[], signs=[mated], asof=day(5)).signs == (mated,)
    assert estimate(exposed=[], signs=[mated], asof=day(4)).signs == ()
    seen = Scan(day(60), True)
    plain = estimate(exposed=[day(0)], asof=day(60)).chance
    assert estimate(exposed=[day(0)], scans=[seen], asof=day(60)).chance > plain
    assert estimate(exposed=[day(0)], scans=[seen], asof=day(59)).chance < plain + 1e-3


def test_the_day_of_a_birth_counts_and_what_was_before_it_does_not() -> None:
    """She may mate within hours of a birth."""
    company = [day(0), day(10)]
    both = estimate(exposed=company, asof=day(20)).chance
    after = estimate(exposed=company, asof=day(20), last_birth=day(10))
    assert 0 < after.chance < both
    assert after.mating is not None
    assert after.mating.as_tuple() == (day(10),) * 5
    assert estimate(exposed=company, asof=day(20), last_birth=day(11)).chance == 0
    mated = Sign(day(10), "copulation")
    with_sign = estimate(exposed=[], signs=[mated], asof=day(20), last_birth=day(10))
    assert with_sign.signs == (mated,)
    assert estimate(exposed=[], signs=[mated], asof=day(20), last_birth=day(11)).signs == ()


def test_a_birth_that_is_still_to_come_is_not_known_yet() -> None:
    one = estimate(exposed=[day(0)], asof=day(20), last_birth=day(21))
    assert one.chance == estimate(exposed=[day(0)], asof=day(20)).chance


def test_a_chance_smaller_than_can_be_reckoned_with_is_none() -> None:
    """Eight deviations past the mean: less than one gestation in 10 ** 15 is left."""
    gone = estimate(exposed=[], signs=[Sign(day(0), "following")], asof=day(189))
    assert (gone.chance, gone.due, gone.mating) == (0, None, None)


def test_only_what_carries_something_of_the_possible_days_is_a_reason() -> None:
    """From a mating on day 0 she had given birth long before day 400."""
    old = Sign(day(0), "copulation")
    later = Sign(day(350), "copulation")
    by_sign = estimate(exposed=[], signs=[old, later], asof=day(400))
    assert [one.on for one in by_sign.reasons if one.kind == "sign"] == [day(350)]
    by_company = estimate(exposed=[day(350), day(352)], signs=[old], asof=day(400))
    (company,) = (one for one in by_company.reasons if one.kind in ("sign", "company"))
    assert (company.kind, company.on, company.until, company.days) == (
        *("company", day(350), day(352), 2),
    )
    assert company.weight == pytest.approx(1)
