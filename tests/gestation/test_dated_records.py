"""Keepers' dated records, replayed as examples; they prove nothing of the model.

Two of the three mating days were reckoned back from the birth by those who wrote them down, and the
figures assumed for scobina were set from the record that is replayed with them. How good the model
is says `test_worlds.py`, which draws from worlds that it was not made for.
"""

import datetime

import pytest

from breeding.gestation.estimate import Profile, Sign, estimate

Date = datetime.date

# Examples: mated, born, and the mean and sd assumed for the species.
RECORDS = [
    pytest.param(
        Date(2003, 2, 28), Date(2003, 6, 7), 99, 110, 10,
        id="motoro x histrix, A. Ochs and R. Moll 2003, keepers' record",
    ),
    pytest.param(
        Date(2005, 4, 16), Date(2005, 8, 14), 120, 110, 10,
        id="motoro, D. Wehrli 2005, keeper's record",
    ),
    pytest.param(
        Date(2001, 12, 19), Date(2002, 4, 8), 110, 105, 12,
        id="scobina, A. Ochs 2002, keeper's record",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("mated", "born", "days", "mean", "sd"), RECORDS)
def test_replayed_the_birth_falls_inside_the_window_reckoned_two_months_after_mating(
    mated: Date, born: Date, days: int, mean: float, sd: float
) -> None:
    assert (born - mated).days == days
    profile = Profile(gestation_mean_days=mean, gestation_sd_days=sd)
    est = estimate(
        exposed=[],
        signs=[Sign(mated, "copulation")],
        profile=profile,
        asof=mated + datetime.timedelta(days=62),
    )
    assert est.due is not None
    assert est.due.p05 <= born <= est.due.p95
    assert est.announced == est.due


def test_replayed_the_record_of_2003_gives_the_middle_day_of_the_assumed_mean() -> None:
    """Mated 28 February, born 7 June 2003 (A. Ochs and R. Moll 2003, keepers' record)."""
    est = estimate(
        exposed=[Date(2003, 2, 28)],
        signs=[Sign(Date(2003, 2, 28), "copulation")],
        asof=Date(2003, 5, 1),
    )
    assert est.due is not None
    assert est.due.p05 <= Date(2003, 6, 7) <= est.due.p95
    assert est.due.p50 == Date(2003, 6, 18)  # 110 days
