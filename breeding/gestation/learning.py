"""What closed seasons teach of gestation and of signs, and who may be the sire; pure."""

import bisect
import math
from collections import defaultdict
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from breeding.gestation.estimate import Estimate, Mating, Sign
from breeding.gestation.profile import MATING_SEEN, Profile
from breeding.gestation.reasons import Date
from breeding.gestation.windows import Days, windows

Male = TypeVar("Male", bound=Hashable)
Places = npt.NDArray[np.int_]

PRIOR_WEIGHT_OF_SD = 8.0  # the profile's sd counts like this many records
RECORDS_FOR_SD = 3
NARROW_SD_DAYS = 5.0
KEPT_AT_MOST = 0.5
LEAST_MASS = 0.01  # a mating day less likely than this teaches nothing of signs
PRIOR_WINDOWS = 20.0  # what the profile says of signs counts like this many windows


def is_measured(est: Estimate | Mating) -> bool:
    """Whether the mating day is known so well (sd at most 5 days) that a birth measures it."""
    dates, mass = est.mating_distribution
    if not dates:
        return False
    days = np.array([on.toordinal() for on in dates], dtype=float)
    mean = float(mass @ days)
    return math.sqrt(float(mass @ (days - mean) ** 2)) <= NARROW_SD_DAYS


def learn(
    profile: Profile, measured: Sequence[float], *, weight_of_sd: float = PRIOR_WEIGHT_OF_SD
) -> Profile:
    """The profile with its gestation moved towards the program's own measured ones (days).

    Mean: a normal prior N(profile mean m, doubt**2), records of the profile's sd:
    (k m + sum of records) / (k + n) with k = sd**2 / doubt**2, and what doubt is left about it:
    sd / sqrt(k + n). With no doubt about the mean it stays.
    Sd, from three records on: the same prior written as normal and scaled inverse chi-square
    (mean given variance v ~ N(m, v / k), v ~ scaled inverse chi-square of `weight_of_sd`
    degrees of freedom and scale sd**2); the new sd is the root of the posterior scale:
    (w sd**2 + sum (x - average)**2 + k n / (k + n) (average - m)**2) / (w + n).
    No records: the profile itself. Order never matters. Raises ValueError for a record that is
    not a positive number.

    Source: Gelman et al. 2013, Bayesian Data Analysis, 3rd ed., sections 2.5 and 3.3 (standard;
    from memory). The prior's weights are assumptions of this project.

    >>> one = learn(Profile(gestation_sd_days=7.0, gestation_mean_doubt_days=7.0), [117.0])
    >>> one.gestation_mean_days, round(one.gestation_mean_doubt_days, 2)
    (113.5, 4.95)
    """
    records = np.asarray(measured, dtype=float)
    if not records.size:
        return profile
    for record in records:
        if not (math.isfinite(record) and record > 0):
            raise ValueError(f"A measured gestation is {record:g} days; it must be above 0.")
    mean, sd = profile.gestation_mean_days, profile.gestation_sd_days
    doubt, n = profile.gestation_mean_doubt_days, records.size
    k = (sd / doubt) ** 2 if doubt > 0 else math.inf
    average = float(records.mean())
    learnt = replace(
        profile,
        gestation_mean_days=mean + (average - mean) * n / (k + n),
        gestation_mean_doubt_days=sd / math.sqrt(k + n),
    )
    if n < RECORDS_FOR_SD:
        return learnt
    squares = float(((records - average) ** 2).sum())
    squares += weight_of_sd * sd**2 + n * (1 - n / (k + n)) * (average - mean) ** 2
    return replace(learnt, gestation_sd_days=math.sqrt(squares / (weight_of_sd + n)))


@dataclass(frozen=True)
class Counted:
    """How many windows were seen in each class, by kind of sign; "" is nothing seen."""

    after: Mapping[str, float] = field(default_factory=dict)
    without: Mapping[str, float] = field(default_factory=dict)

    def __add__(self, other: "Counted") -> "Counted":
        return Counted(_sum(self.after, other.after), _sum(self.without, other.without))

    @property
    def windows(self) -> tuple[float, float]:
        """How many after a mating, and how many without one."""
        return math.fsum(self.after.values()), math.fsum(self.without.values())


def count_windows(
    *,
    exposed: Iterable[Date],
    looked: Iterable[Date],
    signs: Iterable[Sign],
    profile: Profile,
    mating: Estimate | Mating | None,
) -> Counted:
    """What the windows of one closed season teach, each by the share of days somebody looked.

    mating: the estimate whose mating day is narrow; each of its days counts by its mass as one
    after a mating, and the days whose windows cannot touch it as days without. None: she was not
    pregnant, and every day in company counts as one without. Windows of neighbouring days share
    days, so each without a mating counts as one part in `window_days`.
    """
    seen = list(signs)
    mated = {sign.on.toordinal() for sign in seen if sign.kind == MATING_SEEN}
    days = sorted({on.toordinal() for on in exposed} | mated)
    likely = dict(zip(*mating.mating_distribution, strict=True)) if mating else {}
    mass = {on.toordinal(): float(share) for on, share in likely.items() if share >= LEAST_MASS}
    if not days and not mass:
        return Counted()
    first, last = min([*days, *mass]), max([*days, *mass]) + int(profile.window_days) - 1
    shown = windows(
        first, last,
        seen=[sign for sign in seen if sign.on.toordinal() >= first],
        looked=[on.toordinal() for on in looked],
        profile=profile,
    )  # fmt: skip
    names = [*shown.kinds, ""]
    after: dict[str, float] = defaultdict(float)
    without: dict[str, float] = defaultdict(float)
    for day, share in mass.items():
        after[names[shown.classes[day - first]]] += share * float(shown.looked[day - first])
    for day in days:
        if any(abs(day - one) < profile.window_days for one in mass):
            continue
        weight = float(shown.looked[day - first]) / profile.window_days
        without[names[shown.classes[day - first]]] += weight
    return Counted(dict(after), dict(without))


def learn_signs(
    profile: Profile, counted: Counted, *, prior_windows: float = PRIOR_WINDOWS
) -> Profile:
    """The profile with its table of signs moved by the windows counted.

    A Dirichlet prior for each column with the profile's shares worth `prior_windows` windows:
    (prior_windows share + counted) / (prior_windows + all counted). Nothing counted: the profile
    itself. The order of the kinds stays as it is set, whatever was counted.

    Source: Gelman et al. 2013, Bayesian Data Analysis, 3rd ed., section 3.4 (standard; from
    memory). The prior's weight is an assumption of this project.

    >>> learn_signs(Profile(), Counted(after={"biting": 5.0})).signs["biting"]
    (0.28, 0.02)
    """
    after_all, without_all = counted.windows
    if not after_all and not without_all:
        return profile

    def updated(share: float, count: float, every: float) -> float:
        return (prior_windows * share + count) / (prior_windows + every)

    signs = {
        kind: (
            updated(after, counted.after.get(kind, 0.0), after_all),
            updated(without, counted.without.get(kind, 0.0), without_all),
        )
        for kind, (after, without) in profile.signs.items()
    }
    return replace(profile, signs=signs)


def _sum(one: Mapping[str, float], other: Mapping[str, float]) -> dict[str, float]:
    return {kind: one.get(kind, 0.0) + other.get(kind, 0.0) for kind in {**one, **other}}


def possible_sires(
    est: Estimate, company: Mapping[Male, Iterable[Date]], *, sperm_kept_days: float = 0
) -> dict[Male, float]:
    """Chance of having sired, for each male that can have; sums to 1.

    company: male -> days on which she shared water with him, those before her last birth too
    where kept sperm matters. The mass of each possible mating day goes to the males named by the
    strongest sign that speaks of it, in `company` or not; where it names none, evenly to the
    males there that day and those that left at most `sperm_kept_days` before: such a one counts
    half as much on the day after his last, and less from day to day, down to nothing (see
    `kept_weight`; an assumption). What falls to no male is left out, so with nothing to go
    by the answer is empty. A litter can have several sires: these are chances for one pup.
    """
    dates, mass = est.mating_distribution
    first = dates[0].toordinal() if dates else 0
    named_by_signs: list[Male] = [male for named in est.named for male in named]  # type: ignore[misc]
    who = list(dict.fromkeys([*company, *named_by_signs]))
    weights = np.zeros((len(who), len(dates)))
    with_her = np.zeros(weights.shape, bool)
    for row, days in zip(range(len(company)), company.values(), strict=True):
        stayed = sorted(map(Date.toordinal, set(days)))
        places = np.array(stayed, int) - first
        with_her[row, places[(places >= 0) & (places < len(dates))]] = True
        weights[row] = _weights(places, with_her[row], sperm_kept_days)
    whole = with_her.sum(axis=0).astype(float)
    for row in range(len(company)):  # one after the other: so they always were added
        whole += np.where(with_her[row], 0.0, weights[row])
    for place, named in enumerate(est.named):
        if named:
            weights[:, place] = [male in named for male in who]
            whole[place] = len(named)
    shares = {}
    for row in _in_their_order(weights, with_her, est.named, who):
        there = np.flatnonzero(weights[row])
        carried = mass[there] * weights[row, there] / whole[there]
        shares[who[row]] = float(np.cumsum(carried)[-1])
    total = sum(shares.values())
    return {male: share / total for male, share in shares.items() if share > 0}


def _weights(stayed: Places, with_her: npt.NDArray[np.bool_], kept_days: float) -> Days:
    """How much a male counts on each day by his own days with her, in order; see `kept_weight`."""
    weights = with_her.astype(float)
    if kept_days > 0 and stayed.size:
        every = np.arange(with_her.size)
        before = np.searchsorted(stayed, every)
        gaps = every - stayed[before - 1]
        kept = np.maximum(0.0, KEPT_AT_MOST * (1 - gaps / (kept_days + 1)))
        weights = np.where(with_her | (before == 0), weights, kept)
    return weights


def _in_their_order(
    weights: Days,
    with_her: npt.NDArray[np.bool_],
    named: Sequence[frozenset[Hashable]],
    who: Sequence[Hashable],
) -> list[int]:
    """Those who count on any day, by the first such day, so that sums are those of ever."""

    def place(row: int) -> tuple[int, int, int]:
        first = int(np.flatnonzero(weights[row])[0])
        if named[first]:
            return first, list(named[first]).index(who[row]), 0
        return first, int(not with_her[row, first]), row

    return sorted(np.flatnonzero(weights.any(axis=1)).tolist(), key=place)


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
