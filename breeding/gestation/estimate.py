"""From days of company, signs and scans to a chance of pregnancy and a due window; pure.

Days are whole calendar days in the program's time zone. Nothing here asks the clock: `asof` is
the day of reckoning, and whatever happened after it is not known yet and left out. A sighting
counts by the day it was *seen*: one that was entered late belongs to every reckoning from that
day on, so a past day is reckoned from all that is on record for it now, not from what the page
showed then. The order of entry never matters.

How the estimate comes about:

1. Daily rate of an effective mating, before anything was seen: a base rate on a day shared with a
   mature male, a part of it on a day of which nobody knows her company, 0 else. A seen mating is
   company. With lam(d) the rate, the first effective mating falls on day d with chance
   exp(-sum of lam before d) * (1 - exp(-lam(d))), and on none with exp(-sum of lam).
   Days before her last birth are left out; the birth day counts (she may mate within hours).
2. Signs are witnesses of a mating, not its causes. The days from d on are put into one class, the
   strongest sign seen in them or nothing, and the mass of d is multiplied by how much oftener
   such days are seen after a mating than without one (`windows.py`). So ten days of marks are
   one long courtship and not ten proofs, and silence speaks where somebody looked.
3. Gestation, counted from mating: a normal distribution put on whole days, wider by the doubt
   about its mean.
4. Evidence multiplies: that she has not given birth yet, and each scan.
5. Bayes' rule gives the chance, the possible mating days and the possible birth days.

The model and its default figures are assumptions of this project, to be replaced by the
program's own records (see `learning.py`).
"""

import datetime
import math
from collections import defaultdict
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt

from breeding.gestation.grounds import Grounds, reasons_of
from breeding.gestation.profile import MATING_SEEN, Profile
from breeding.gestation.reasons import Reason, SayDay
from breeding.gestation.windows import Windows, strongest_in, windows

Date = datetime.date
Days = npt.NDArray[np.float64]
Distribution = tuple[tuple[Date, ...], Days]

__all__ = ["Estimate", "Points", "Profile", "Reason", "Scan", "Sign", "estimate", "sentences"]

LEVELS = (0.05, 0.25, 0.50, 0.75, 0.95)
LAST_DAY = Date.max.toordinal()
LEAST_CHANCE = 1e-15  # below it arithmetic in float64 has nothing more to say: 0
TAIL_SDS = 8  # beyond this many sd less than one gestation in 10**15 is left


@dataclass(frozen=True)
class Sign:
    """Something seen on a day: a kind of `Profile.signs`, and the male when he was recognised."""

    on: Date
    kind: str
    male: Hashable = None


@dataclass(frozen=True)
class Scan:
    """An ultrasound scan: pups seen (`positive`) or nothing seen."""

    on: Date
    positive: bool


@dataclass(frozen=True)
class Points:
    """Days by which 5, 25, 50, 75 and 95 % of a distribution has passed.

    From p05 to p95 is the window, p50 the most even guess.
    """

    p05: Date
    p25: Date
    p50: Date
    p75: Date
    p95: Date

    def as_tuple(self) -> tuple[Date, Date, Date, Date, Date]:
        return (self.p05, self.p25, self.p50, self.p75, self.p95)


@dataclass(frozen=True, eq=False)
class Estimate:
    """What is known of a female on the day `asof`. Dates are None where the chance is 0.

    chance: 0 to 1, that she is pregnant on `asof`, given all evidence.
    announced_chance: the same without "not born yet"; it does not fall as she goes over.
    announced: due points without "not born yet"; they do not move as days pass.
    lateness: share of the announced distribution up to and with `asof`, 0 to 1.
    due, mating: points given that she is pregnant and has not given birth by `asof`.
    due_distribution, mating_distribution: (dates, float64 of the same length, sum 1).
    reasons: largest weight first.
    named: for each day of mating_distribution the males named by the strongest sign that speaks
    of it; empty where it names none. `possible_sires` starts from here.
    """

    asof: Date
    chance: float
    announced_chance: float
    announced: Points | None
    lateness: float
    due: Points | None
    mating: Points | None
    due_distribution: Distribution
    mating_distribution: Distribution
    reasons: tuple[Reason, ...]
    named: tuple[frozenset[Hashable], ...] = field(default=(), repr=False)


def estimate(
    *,
    exposed: Iterable[Date] = (),
    unknown: Iterable[Date] = (),
    looked: Iterable[Date] = (),
    signs: Iterable[Sign] = (),
    scans: Iterable[Scan] = (),
    profile: Profile | None = None,
    asof: Date,
    last_birth: Date | None = None,
    birth_on: Date | None = None,
) -> Estimate:
    """Reckon a female's pregnancy as of a day.

    exposed: days on which she shared water with a mature male; doubles count once. unknown: days
    of which nobody knows her company; those that are exposed as well count as exposed. looked:
    days on which somebody looked at her; a day on which a sign was seen is one of itself.
    Signs, scans, days and a birth after `asof` are left out, and so is what was before her last
    birth; a scan on its day belongs to the season that it ended. The day of a seen mating is
    company; other signs need a day on which a male was near, or may have been, or nothing follows
    from them.
    birth_on: a birth on that day takes the place of "not born yet", to look back on its mating:
    the possible mating days are weighted by the chance of just that gestation, the chance is 1
    (0 when no day on record can have led to it), and `due` is the day itself.
    Raises ValueError for a kind of sign that the profile does not know, TypeError for a date
    that is none. When the evidence has left no room for a pregnancy at all (months past any
    gestation) the chance is 0, never nan.
    Cost: days x gestation span; about 1 ms for a year.

    >>> mated = Sign(Date(2003, 2, 28), "copulation")
    >>> est = estimate(signs=[mated], asof=Date(2003, 5, 1))
    >>> est.due.p05 <= Date(2003, 6, 7) <= est.due.p95  # a birth on record, day 99
    True
    """
    profile = profile or Profile()
    today = _ordinal(asof, "asof")
    birth = 0 if last_birth is None else _ordinal(last_birth, "last_birth")
    span = (birth if birth <= today else 0), today
    seen = sorted(
        (sign for sign in signs if span[0] <= _known(sign, profile) <= today),
        key=lambda sign: (sign.on, sign.kind, str(sign.male)),
    )
    mated_on = {sign.on.toordinal() for sign in seen if sign.kind == MATING_SEEN}
    shared = _within(exposed, "exposed", span)
    together = shared | mated_on
    unsure = _within(unknown, "unknown", span) - together
    scanned = sorted(
        (scan for scan in scans if span[0] < _ordinal(scan.on, "scan") <= today),
        key=lambda scan: (scan.on, scan.positive),
    )
    watched = _within(looked, "looked", span)
    first = max(min(together | unsure, default=today), 1)
    days = np.arange(first, today + 1)

    rates = _rates(together, unsure, profile, days)
    shown = windows(first, today, seen=seen, looked=watched, profile=profile)
    witness = shown.weights(profile)
    mated = np.exp(-(np.cumsum(rates) - rates)) * -np.expm1(-rates) * witness
    never = math.exp(-rates.sum())
    likelihoods = [_scan_likelihood(scan, days, profile) for scan in scanned]
    for where, none in likelihoods:
        mated, never = mated * where, never * none
    never_announced = never

    low, gestation = _gestation(profile.gestation_mean_days, profile.gestation_spread_days)
    born = np.convolve(mated, gestation)  # born[i] is a birth on day first + low + i
    born_on = first + low + np.arange(born.size)
    birthday = None if birth_on is None else _ordinal(birth_on, "birth_on")
    if birthday is None:
        left = np.concatenate((np.ones(low), np.cumsum(gestation[::-1])[::-1], [0.0]))
        still = left[np.minimum(today - days + 1, left.size - 1)]  # gestation longer than so far
        ahead = np.where(born_on > today, born, 0.0)
    else:
        still = _mass_at(birthday - days - low, gestation)  # gestation of just that length
        ahead = np.where(born_on == birthday, born, 0.0)
        never = 0.0
    current = mated * still

    chance = _share(current.sum(), never)
    announced_chance = _share(mated.sum(), never_announced)
    mating_now = _normed(current, chance)
    announced = _normed(born, announced_chance)
    announced_due = _distribution(born_on, announced)
    due = _distribution(born_on, _normed(ahead, chance))
    mating = _distribution(days, mating_now)

    def chance_without(factor: Days, none: float = 1.0) -> float:
        with np.errstate(divide="ignore", invalid="ignore"):
            return _share(np.nan_to_num(current / factor).sum(), never / none)

    reasons = reasons_of(
        Grounds(
            seen=seen,
            together=shared,
            unsure=unsure,
            watched=watched,
            windows=shown,
            witness=witness,
            mass=mating_now if chance else _normed(mated, announced_chance),
            profile=profile,
        ),
        lambda factor: chance - chance_without(factor),
    )
    for scan, (where, none) in zip(scanned, likelihoods, strict=True):
        early = scan.on.toordinal() - profile.scan_detectable_days < first
        moved = abs(chance - chance_without(where, none))
        reasons.append(
            Reason("scan", scan.on, scan.on, moved, positive=scan.positive, too_early=early)
        )
    if announced_chance and birth_on is None:
        reasons.append(Reason("not_born", asof, asof, announced_chance - chance))
    return Estimate(
        asof=asof,
        chance=chance,
        announced_chance=announced_chance,
        announced=_points(announced_due),
        lateness=min(float(announced[born_on <= today].sum()), 1.0),
        due=_points(due),
        mating=_points(mating),
        due_distribution=due,
        mating_distribution=mating,
        reasons=tuple(sorted(reasons, key=lambda reason: -reason.weight)),
        named=_named(mating[0], shown, seen, profile),
    )


def sentences(
    est: Estimate,
    day: SayDay | None = None,
    *,
    labels: Mapping[str, str] | None = None,
    names: Mapping[Any, str] | None = None,
    least: float = 0.02,
) -> list[str]:
    """The reasons in words, weightiest first; those under `least` go unsaid, scans never do."""
    return [
        reason.text(day, labels, names)
        for reason in est.reasons
        if reason.weight >= least or reason.kind == "scan"
    ]


# -- the arithmetic ------------------------------------------------------------------------


def _within(days: Iterable[Date], name: str, span: tuple[int, int]) -> set[int]:
    """These days as ordinals, without those outside the span."""
    every = days if isinstance(days, (list, tuple)) else list(days)
    if not set(map(type, every)) <= {Date}:
        for on in every:  # what is no day is named
            _ordinal(on, name)
    return {day for day in map(Date.toordinal, every) if span[0] <= day <= span[1]}


def _rates(
    together: set[int], unsure: set[int], profile: Profile, days: npt.NDArray[np.int_]
) -> Days:
    rates = np.zeros(days.size)
    for some, rate in ((unsure, profile.unknown_factor), (together, 1)):
        rates[np.fromiter(some, int, len(some)) - days[0]] = profile.base_daily * rate
    return rates


def _named(
    dates: tuple[Date, ...], shown: Windows, seen: list[Sign], profile: Profile
) -> tuple[frozenset[Hashable], ...]:
    """For each of these days the males that the strongest sign speaking of it names."""
    naming = [sign for sign in seen if sign.male is not None]
    if not naming:
        return (frozenset(),) * len(dates)
    males: dict[int, set[Hashable]] = defaultdict(set)
    for sign, places in zip(naming, strongest_in(shown, naming, profile), strict=True):
        for place in places:
            males[shown.first + int(place)].add(sign.male)
    once: dict[frozenset[Hashable], frozenset[Hashable]] = {}  # the same few for many days
    named = (frozenset(males.get(on.toordinal(), ())) for on in dates)
    return tuple(once.setdefault(one, one) for one in named)


@lru_cache(maxsize=256)
def _gestation(mean: float, sd: float) -> tuple[int, Days]:
    """The shortest gestation (at least a day) and the mass of each day from it on; sum 1."""
    low = max(1, math.floor(mean - TAIL_SDS * sd))
    high = max(low, math.ceil(mean + TAIL_SDS * sd))
    edges = (np.arange(low, high + 2) - 0.5 - mean) / sd
    below, above = _normal_below(edges), _normal_below(-edges)
    # Of two numbers near 1 the difference would lose figures: on the right the tail above is taken.
    mass = np.where(edges[:-1] > 0, above[:-1] - above[1:], below[1:] - below[:-1])
    mass /= mass.sum()
    mass.setflags(write=False)
    return low, mass


def _normal_below(spreads: npt.NDArray[np.floating]) -> Days:
    """The share of a normal distribution below so many standard deviations, 0 to 1, each to 1 ulp
    or so also far out on the left (by the C library's complementary error function).

    >>> [round(float(one), 6) for one in _normal_below(np.array([-1.959964, 0.0, 1.0]))]
    [0.025, 0.5, 0.841345]
    """
    return np.array([math.erfc(-one / math.sqrt(2)) / 2 for one in spreads.tolist()])


def _mass_at(places: npt.NDArray[np.int_], mass: Days) -> Days:
    """The mass at each place, 0 outside."""
    inside = (places >= 0) & (places < mass.size)
    return np.where(inside, mass.take(places, mode="clip"), 0.0)


def _scan_likelihood(
    scan: Scan, days: npt.NDArray[np.int_], profile: Profile
) -> tuple[Days, float]:
    """Chance of what the scan showed, for each mating day and for "no mating"."""
    yes, by_mistake = profile.scan_sensitivity, 1 - profile.scan_specificity
    if not scan.positive:
        yes, by_mistake = 1 - yes, 1 - by_mistake
    visible = days <= scan.on.toordinal() - profile.scan_detectable_days
    return np.where(visible, yes, by_mistake), by_mistake


def _share(pregnant: float, never: float) -> float:
    both = float(pregnant + never)
    share = float(pregnant) / both if both > 0 else 0.0
    return share if share >= LEAST_CHANCE else 0.0


def _normed(mass: Days, chance: float) -> Days:
    """Summing to 1; all 0 when there is no chance of it."""
    return mass / mass.sum() if chance > 0 else np.zeros_like(mass)


# What is kept is of the same days: each of them once.
one_day = lru_cache(maxsize=8192)(Date.fromordinal)


def _distribution(days: npt.NDArray[np.int_], mass: Days) -> Distribution:
    """Dates and mass from the first day with any to the last; empty when there is none."""
    there = np.flatnonzero(mass > 0)
    if not there.size:
        return (), np.zeros(0)
    part = slice(there[0], there[-1] + 1)
    dates = tuple(map(one_day, np.minimum(days[part], LAST_DAY).tolist()))
    return dates, mass[part].copy()  # not the whole of it, which is kept with this


def _points(distribution: Distribution) -> Points | None:
    dates, mass = distribution
    if not dates:
        return None
    reached = np.searchsorted(np.cumsum(mass), np.asarray(LEVELS) - 1e-12)
    return Points(*(dates[min(int(place), len(dates) - 1)] for place in reached))


# -- the door ------------------------------------------------------------------------------


def _ordinal(on: Any, name: str) -> int:
    if isinstance(on, datetime.datetime) or not isinstance(on, Date):
        raise TypeError(f"{name}: {on!r} is not a date; whole calendar days are asked for.")
    return on.toordinal()


def _known(sign: Sign, profile: Profile) -> int:
    if sign.kind not in profile.signs:
        known = ", ".join(sorted(profile.signs)) or "none"
        raise ValueError(f"Unknown kind of sign {sign.kind!r}; known are: {known}.")
    return _ordinal(sign.on, "sign")
