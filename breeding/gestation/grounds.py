"""By how much each thing on record carries an estimate, or speaks against it; pure."""

import datetime
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from breeding.gestation.profile import Profile
from breeding.gestation.reasons import Reason
from breeding.gestation.windows import Days, Seen, Windows, strongest_in

Date = datetime.date
Moved = Callable[[Days], float]


@dataclass(frozen=True, eq=False)
class Grounds:
    """What a reckoning rests on: signs, days as ordinals, windows, and the mass of each day."""

    seen: Sequence[Seen]
    together: Collection[int]
    unsure: Collection[int]
    watched: Collection[int]
    windows: Windows
    witness: Days
    mass: Days
    profile: Profile

    def speaks_for(self, kind: str) -> bool:
        after, without = self.profile.signs[kind]
        return after >= without


def reasons_of(grounds: Grounds, moved: Moved) -> list[Reason]:
    """Signs that speak for a mating and days of company, together 1; then what speaks against it.

    moved: by how much a factor on each mating day has moved the chance.
    """
    carrying = [sign for sign in grounds.seen if grounds.speaks_for(sign.kind)]
    against = [sign for sign in grounds.seen if not grounds.speaks_for(sign.kind)]
    weights, left = _carried(grounds, carrying)
    return [
        *_courtships(carrying, weights, grounds.profile),
        *_company(grounds, left),
        *_against(grounds, against, moved),
        *_quiet(grounds, moved),
    ]


def _carried(grounds: Grounds, signs: Sequence[Seen]) -> tuple[list[float], Days]:
    """What of the mass each sign carries, alike with its like; and what no sign carries."""
    rows = strongest_in(grounds.windows, signs, grounds.profile)
    like = np.zeros(grounds.mass.size)
    for places in rows:
        like[places] += 1
    weights = [float((grounds.mass[places] / like[places]).sum()) for places in rows]
    return weights, np.where(like > 0, 0.0, grounds.mass)


def _courtships(signs: Sequence[Seen], weights: Sequence[float], profile: Profile) -> list[Reason]:
    """A kind of sign seen on days that share a window is one reason."""
    pairs = [pair for pair in zip(signs, weights, strict=True) if pair[1] > 0]
    found = []
    for (kind, male), of_a_kind in groupby(
        sorted(pairs, key=lambda pair: (pair[0].kind, str(pair[0].male), pair[0].on)),
        key=lambda pair: (pair[0].kind, pair[0].male),
    ):
        for group in _near(list(of_a_kind), profile):
            days = sorted({sign.on for sign, _ in group})
            weight = sum(share for _, share in group)
            found.append(
                Reason("sign", days[0], days[-1], weight, sign=kind, male=male, days=len(days))
            )
    return found


def _near(pairs: list[tuple[Seen, float]], profile: Profile) -> list[list[tuple[Seen, float]]]:
    groups: list[list[tuple[Seen, float]]] = []
    for pair in pairs:
        if groups and (pair[0].on - groups[-1][-1][0].on).days < profile.window_days:
            groups[-1].append(pair)
        else:
            groups.append([pair])
    return groups


def _company(grounds: Grounds, left: Days) -> list[Reason]:
    found = []
    for kind, days in (("company", grounds.together), ("unknown", grounds.unsure)):
        ordered = sorted(days)
        weight = float(left[np.array(ordered, int) - grounds.windows.first].sum())
        if weight > 0:
            first, last = Date.fromordinal(ordered[0]), Date.fromordinal(ordered[-1])
            found.append(Reason(kind, first, last, weight, days=len(ordered)))
    return found


def _against(grounds: Grounds, signs: Sequence[Seen], moved: Moved) -> list[Reason]:
    found = []
    for kind in sorted({sign.kind for sign in signs}):
        place = grounds.windows.kinds.index(kind)
        factor = np.where(grounds.windows.classes == place, grounds.witness, 1.0)
        weight = abs(moved(factor))
        if weight > 0:
            days = sorted({sign.on for sign in signs if sign.kind == kind})
            found.append(
                Reason(
                    "sign", days[0], days[-1], weight,
                    sign=kind, days=len(days), is_against=True,
                )
            )  # fmt: skip
    return found


def _quiet(grounds: Grounds, moved: Moved) -> list[Reason]:
    """Days on which somebody looked and saw nothing."""
    quiet = grounds.windows.is_nothing & (grounds.mass > 0)
    weight = abs(moved(np.where(quiet, grounds.witness, 1.0)))
    signed = {sign.on.toordinal() for sign in grounds.seen}
    days = sorted(day for day in grounds.watched if day not in signed)
    days = [day for day in days if day >= grounds.windows.first]
    if weight <= 0 or not days:
        return []
    first, last = Date.fromordinal(days[0]), Date.fromordinal(days[-1])
    return [Reason("quiet", first, last, weight, days=len(days), is_against=True)]
