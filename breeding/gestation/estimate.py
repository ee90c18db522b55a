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
from collections import defaultdict
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

from breeding.gestation.grounds import Grounds, reasons_of
from breeding.gestation.profile import Profile
from breeding.gestation.reasons import Reason, SayDay
from breeding.gestation.reckoned import (
    LAST_DAY,
    Points,
    Scan,
    Sign,
    normed,
    one_day,
    points,
    reckoned,
    share,
)
from breeding.gestation.windows import Windows, strongest_in

Date = datetime.date
Days = npt.NDArray[np.float64]
Distribution = tuple[tuple[Date, ...], Days]

__all__ = ["Estimate", "Points", "Profile", "Reason", "Scan", "Sign", "estimate", "sentences"]


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
    found = reckoned(
        exposed=exposed,
        unknown=unknown,
        looked=looked,
        signs=signs,
        scans=scans,
        profile=profile,
        asof=asof,
        last_birth=last_birth,
        birth_on=birth_on,
    )
    profile, chance, days, born_on = found.profile, found.chance, found.days, found.born_on
    mating_now, due_now = normed(found.current, chance), normed(found.ahead, chance)
    announced = normed(found.born, found.announced_chance)
    mating = _distribution(days, mating_now)

    def chance_without(factor: Days, none: float = 1.0) -> float:
        with np.errstate(divide="ignore", invalid="ignore"):
            return share(np.nan_to_num(found.current / factor).sum(), found.never / none)

    reasons = reasons_of(
        Grounds(
            seen=found.seen,
            together=found.shared,
            unsure=found.unsure,
            watched=found.watched,
            windows=found.shown,
            witness=found.witness,
            mass=mating_now if chance else normed(found.mated, found.announced_chance),
            profile=profile,
        ),
        lambda factor: chance - chance_without(factor),
    )
    for scan, (where, none) in found.scanned:
        early = bool(scan.on.toordinal() - profile.scan_detectable_days < days[0])
        moved = abs(chance - chance_without(where, none))
        reasons.append(
            Reason("scan", scan.on, scan.on, moved, positive=scan.positive, too_early=early)
        )
    if found.announced_chance and birth_on is None:
        reasons.append(Reason("not_born", asof, asof, found.announced_chance - chance))
    return Estimate(
        asof=asof,
        chance=chance,
        announced_chance=found.announced_chance,
        announced=points(born_on, announced),
        lateness=min(float(announced[born_on <= days[-1]].sum()), 1.0),
        due=points(born_on, due_now),
        mating=points(days, mating_now),
        due_distribution=_distribution(born_on, due_now),
        mating_distribution=mating,
        reasons=tuple(sorted(reasons, key=lambda reason: -reason.weight)),
        named=_named(mating[0], found.shown, found.seen, profile),
    )


@dataclass(frozen=True, eq=False)
class Mating:
    """Of an `Estimate` when she was mated, and no more: what closed seasons teach rests on it."""

    mating: Points | None
    mating_distribution: Distribution


def mating_of(**facts: Any) -> Mating:
    """These of `estimate` of the same facts, all of which are given. Cost: a third of it."""
    found = reckoned(**facts)
    mass = normed(found.current, found.chance)
    return Mating(points(found.days, mass), _distribution(found.days, mass))


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


def _distribution(days: npt.NDArray[np.int_], mass: Days) -> Distribution:
    """Dates and mass from the first day with any to the last; empty when there is none."""
    there = np.flatnonzero(mass > 0)
    if not there.size:
        return (), np.zeros(0)
    part = slice(there[0], there[-1] + 1)
    dates = tuple(map(one_day, np.minimum(days[part], LAST_DAY).tolist()))
    return dates, mass[part].copy()  # not the whole of it, which is kept with this
