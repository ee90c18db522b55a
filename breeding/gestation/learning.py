"""What closed seasons teach: the program's own gestation, and who may be the sire; pure."""

import bisect
import math
from collections import defaultdict
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TypeVar

import numpy as np

from breeding.gestation.estimate import Estimate, Profile
from breeding.gestation.reasons import Date

Male = TypeVar("Male", bound=Hashable)

PRIOR_SD_OF_MEAN_DAYS = 7.0
PRIOR_WEIGHT_OF_SD = 8.0  # the profile's sd counts like this many records
RECORDS_FOR_SD = 3
NARROW_SD_DAYS = 5.0
KEPT_AT_MOST = 0.5


def is_measured(est: Estimate) -> bool:
    """Whether the mating day is known so well (sd at most 5 days) that a birth measures it."""
    dates, mass = est.mating_distribution
    if not dates:
        return False
    days = np.array([on.toordinal() for on in dates], dtype=float)
    mean = float(mass @ days)
    return math.sqrt(float(mass @ (days - mean) ** 2)) <= NARROW_SD_DAYS


def learn(
    profile: Profile,
    measured: Sequence[float],
    *,
    sd_of_mean_days: float = PRIOR_SD_OF_MEAN_DAYS,
    weight_of_sd: float = PRIOR_WEIGHT_OF_SD,
) -> Profile:
    """The profile with its gestation moved towards the program's own measured ones (days).

    Mean: a normal prior N(profile mean, sd_of_mean_days), records of the profile's sd:
    (k m + sum of records) / (k + n) with k = sd**2 / sd_of_mean_days**2.
    Sd, from three records on: the same prior written as normal and scaled inverse chi-square
    (mean given variance v ~ N(m, v / k), v ~ scaled inverse chi-square of `weight_of_sd`
    degrees of freedom and scale sd**2); the new sd is the root of the posterior scale:
    (w sd**2 + sum (x - average)**2 + k n / (k + n) (average - m)**2) / (w + n).
    No records: the profile itself. Order never matters. Raises ValueError for a record that is
    not a positive number.

    Source: Gelman et al. 2013, Bayesian Data Analysis, 3rd ed., sections 2.5 and 3.3 (standard;
    from memory). The prior's weights are assumptions of this project.

    >>> learn(Profile(gestation_sd_days=7.0), [117.0]).gestation_mean_days
    113.5
    """
    records = np.asarray(measured, dtype=float)
    if not records.size:
        return profile
    for record in records:
        if not (math.isfinite(record) and record > 0):
            raise ValueError(f"A measured gestation is {record:g} days; it must be above 0.")
    mean, sd = profile.gestation_mean_days, profile.gestation_sd_days
    n = records.size
    k = (sd / sd_of_mean_days) ** 2
    average = float(records.mean())
    learnt = replace(profile, gestation_mean_days=(k * mean + n * average) / (k + n))
    if n < RECORDS_FOR_SD:
        return learnt
    squares = float(((records - average) ** 2).sum())
    squares += weight_of_sd * sd**2 + k * n / (k + n) * (average - mean) ** 2
    return replace(learnt, gestation_sd_days=math.sqrt(squares / (weight_of_sd + n)))


def possible_sires(
    est: Estimate, company: Mapping[Male, Iterable[Date]], *, sperm_kept_days: float = 0
) -> dict[Male, float]:
    """Chance of having sired, for each male that can have; sums to 1.

    company: male -> days on which she shared water with him, those before her last birth too
    where kept sperm matters. What a day's company and its unnamed signs carry is parted among
    the males there that day, evenly, and those that left at most `sperm_kept_days` before:
    such a one counts half as much on the day after his last, and less from day to day, down to
    nothing (see `kept_weight`; an assumption). A sign that names a male counts for him alone,
    in `company` or not. An unnamed sign that looks back to a day without a male counts for
    those there on the day it was seen. What falls to no male is left out, so with nothing to go
    by the answer is empty. A litter can have several sires: these are chances for one pup.
    """
    there: dict[Date, list[Male]] = defaultdict(list)
    stays: dict[Male, list[int]] = {}
    for male, days in company.items():
        for on in set(days):
            there[on].append(male)
        stays[male] = sorted(on.toordinal() for on in set(days))
    shares: dict[Male, float] = defaultdict(float)
    dates, _ = est.mating_distribution
    for row, carried in enumerate(est.carried):
        sign = est.signs[row] if row < len(est.signs) else None
        if sign is not None and sign.male is not None:
            named: Male = sign.male  # type: ignore[assignment]
            shares[named] += float(carried.sum())
            continue
        for place in np.flatnonzero(carried):
            on = dates[place]
            males = there.get(on) or (there.get(sign.on) if sign else None) or []
            weights = dict.fromkeys(males, 1.0)
            for male, days_there in stays.items():
                if male not in weights and (
                    weight := kept_weight(days_there, on.toordinal(), sperm_kept_days)
                ):
                    weights[male] = weight
            whole = sum(weights.values())
            for male, weight in weights.items():
                shares[male] += float(carried[place]) * weight / whole
    total = sum(shares.values())
    return {male: share / total for male, share in shares.items() if share > 0}


def kept_weight(days_there: Sequence[int], on: int, kept_days: float) -> float:
    """How much the kept sperm of a male counts against that of one who is there (1).

    days_there: his days with her as ordinals, in order; on: the day in question. KEPT_AT_MOST
    falling in a straight line over the days since his last, to 0 on the day after `kept_days`;
    0 for a male who comes later. That it falls, and from where, is an assumption of this
    project: rays are known to bear litters of several sires (Torres et al. 2022, J Fish Biol
    100:1315-1318), not how long and how well they keep sperm.

    >>> kept_weight([1, 2, 3], 4, 30), kept_weight([1, 2, 3], 34, 30)
    (0.4838709677419355, 0.0)
    """
    before = bisect.bisect_left(days_there, on)
    if not before:
        return 0.0
    gap = on - days_there[before - 1]
    return max(0.0, KEPT_AT_MOST * (1 - gap / (kept_days + 1))) if kept_days > 0 else 0.0
