"""What was seen of a female up to a day, reckoned into masses; pure. `estimate.py` says how."""

import datetime
import math
from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt

from breeding.gestation.profile import MATING_SEEN, Profile
from breeding.gestation.windows import Windows, windows

Date = datetime.date
Days = npt.NDArray[np.float64]

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
class Reckoned:
    """What was seen up to a day, and the masses that follow from it, of which none is normed.

    days: of the first possible mating to the day of reckoning, as ordinals. mated: of an effective
    mating on each of them, by all that was seen; current: the same and not born yet (or born on the
    very day). born, ahead: of a birth on each of born_on, at all and from now on. never: of none.
    scanned: each scan with its likelihoods, of each day of mating and of none.
    """

    profile: Profile
    seen: list[Sign]
    shared: set[int]
    unsure: set[int]
    watched: set[int]
    shown: Windows
    witness: Days
    days: npt.NDArray[np.int_]
    mated: Days
    current: Days
    born_on: npt.NDArray[np.int_]
    born: Days
    ahead: Days
    never: float
    scanned: list[tuple[Scan, tuple[Days, float]]]
    chance: float
    announced_chance: float


def reckoned(
    *,
    exposed: Iterable[Date],
    unknown: Iterable[Date],
    looked: Iterable[Date],
    signs: Iterable[Sign],
    scans: Iterable[Scan],
    profile: Profile | None,
    asof: Date,
    last_birth: Date | None,
    birth_on: Date | None,
) -> Reckoned:
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
    told = [(scan, _scan_likelihood(scan, days, profile)) for scan in scanned]
    for _, (where, none) in told:
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

    return Reckoned(
        profile=profile,
        seen=seen,
        shared=shared,
        unsure=unsure,
        watched=watched,
        shown=shown,
        witness=witness,
        days=days,
        mated=mated,
        current=current,
        born_on=born_on,
        born=born,
        ahead=ahead,
        never=never,
        scanned=told,
        chance=share(current.sum(), never),
        announced_chance=share(mated.sum(), never_announced),
    )


@dataclass(frozen=True)
class Outlook:
    """Of an `Estimate` what is asked first: chances, and due points without "not born yet"."""

    chance: float
    announced_chance: float
    announced: Points | None


def outlook(**facts: Any) -> Outlook:
    """These of `estimate` of the same facts, all of which are given. Cost: a third of it."""
    found = reckoned(**facts)
    announced = normed(found.born, found.announced_chance)
    return Outlook(found.chance, found.announced_chance, points(found.born_on, announced))


# -- the arithmetic ------------------------------------------------------------------------


def _within(days: Iterable[Date], name: str, span: tuple[int, int]) -> set[int]:
    """These days as ordinals, without those outside the span."""
    every = days if isinstance(days, (list, tuple)) else list(days)
    if not set(map(type, every)) <= {Date}:
        for on in every:  # what is no day is named
            _ordinal(on, name)
    found = set(map(Date.toordinal, every))
    if found and span[0] <= min(found) and max(found) <= span[1]:
        return found
    return {day for day in found if span[0] <= day <= span[1]}


def _rates(
    together: set[int], unsure: set[int], profile: Profile, days: npt.NDArray[np.int_]
) -> Days:
    rates = np.zeros(days.size)
    for some, rate in ((unsure, profile.unknown_factor), (together, 1)):
        rates[np.fromiter(some, int, len(some)) - days[0]] = profile.base_daily * rate
    return rates


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


def share(pregnant: float, never: float) -> float:
    both = float(pregnant + never)
    share = float(pregnant) / both if both > 0 else 0.0
    return share if share >= LEAST_CHANCE else 0.0


def normed(mass: Days, chance: float) -> Days:
    """Summing to 1; all 0 when there is no chance of it."""
    return mass / mass.sum() if chance > 0 else np.zeros_like(mass)


# What is kept is of the same days: each of them once.
one_day = lru_cache(maxsize=8192)(Date.fromordinal)


def points(days: npt.NDArray[np.int_], mass: Days) -> Points | None:
    """Of the days from the first with any mass on; None when there is none."""
    there = np.flatnonzero(mass > 0)
    if not there.size:
        return None
    part = slice(there[0], there[-1] + 1)
    reached = np.searchsorted(np.cumsum(mass[part]), np.asarray(LEVELS) - 1e-12)
    last = there[-1] - there[0]
    return Points(*(_date(days[part][min(place, last)]) for place in reached))


def _date(day: Any) -> Date:
    return one_day(min(int(day), LAST_DAY))


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
