"""How much one gained beside its littermates, and how heavy it is for its width; pure.

Littermates of one age in one water share what changes the growth of all: the season, the food, the
shape of the curve. So what one gained since its last weighings is held against what the middle one
of them gained in the same days, and no curve is assumed. How far such gains lie apart among the
litter itself tells the error of the measuring. Sizes are logs: of grams, of mm, or of both.
"""

import datetime
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean, median

Date = datetime.date
Sizes = Mapping[Date, float]  # the log of a size, by the day it was measured

BEFORE = 4  # weighings that the latest is held against; fewer blur it, more lag behind
FEW_BEFORE = 2
BEFORE_DAYS = 60  # an older one speaks of another body
FEW_MATES = 3  # littermates measured on the same days; fewer say little
ALONE_DAYS = 7  # one weighed again alone is held against the others' last weighing
SPREAD_DAYS = 8  # the last so many weighings of a litter tell how far gains lie apart in it
HAND_WORTH = 4  # gains of this litter tell as much as what is known of a careful hand
MIDDLE_WORTH = 0.4  # what a middle distance tells beside squares, where errors are normal: 0.37
# The latest size, the mean of four before, and the middle one of nine others carry errors each:
# the root of 1 + 1/4 + (1 + 1/4) * 1.57 / 9 is so many times the error of one size, or hardly more.
GAIN_ERRORS = 1.19
USUAL = 1.4826  # of a middle distance to a standard deviation, where errors are normal
THINNER_BEFORE = 3  # weighings with a width before the latest


@dataclass(frozen=True)
class Gain:
    """What one gained in the log of a size, and the middle one of its littermates in those days.

    since: the first of the `before` weighings whose mean it is reckoned from.
    """

    since: Date
    before: int
    own: float
    mates: float

    @property
    def behind(self) -> float:
        """How much less it gained, in logs: 0.08 is about 8 %.

        >>> round(Gain(Date(2026, 3, 1), 4, 0.05, 0.15).behind, 2)
        0.1
        """
        return self.mates - self.own


def gain_of(key: int, litter: Mapping[int, Sizes]) -> Gain | None:
    """Up to its latest measurement; None where it or too few littermates were measured before.

    >>> days = [Date(2026, 3, day) for day in (1, 8, 15)]
    >>> even = dict(zip(days, (1.0, 1.1, 1.25)))
    >>> gain = gain_of(0, {0: dict(zip(days, (1.0, 1.1, 1.1))), 1: even, 2: even, 3: even})
    >>> round(gain.own, 2), round(gain.mates, 2), gain_of(0, {0: even, 1: even, 2: even})
    (0.05, 0.2, None)
    """
    own = litter.get(key)
    if not own:
        return None
    others = [sizes for other, sizes in litter.items() if other != key]
    latest = max(own)
    shared = [
        day
        for day in sorted({day for sizes in others for day in sizes if day <= latest})
        if sum(day in sizes for sizes in others) >= FEW_MATES
    ]
    if not shared or (latest - shared[-1]).days > ALONE_DAYS:
        return None
    return _gain(own, latest, others, shared)


def _gain(own: Sizes, latest: Date, others: Sequence[Sizes], shared: Sequence[Date]) -> Gain | None:
    then = shared[-1]
    days = [day for day in shared[:-1] if day in own and (latest - day).days <= BEFORE_DAYS]
    days = days[-BEFORE:]
    mates = [one for one in others if then in one and all(day in one for day in days)]
    if len(days) < FEW_BEFORE or len(mates) < FEW_MATES:
        return None

    def gained(sizes: Sizes, until: Date) -> float:
        return sizes[until] - fmean(sizes[day] for day in days)

    return Gain(days[0], len(days), gained(own, latest), median(gained(one, then) for one in mates))


def spread_of(litter: Mapping[int, Sizes], on: Date) -> float:
    """How far gains usually lie from the middle one's in this litter, up to a day; 0: not known."""
    found = _distances(litter, on)
    return USUAL * median(found) if found else 0.0


def spread_with(litter: Mapping[int, Sizes], on: Date, hand: float) -> float:
    """The same, leaning on the errors of a hand where the litter was weighed too seldom to tell.

    hand: the usual error of one size, in logs, as of somebody who weighs with care. It counts as
    much as HAND_WORTH gains; of the litter each counts MIDDLE_WORTH, as a middle distance tells
    less than squares do. So whoever measures roughly is called as seldom as others are.

    >>> day = Date(2026, 3, 1)
    >>> round(spread_with({}, day, 0.02), 4)
    0.0238
    """
    found = _distances(litter, on)
    own = USUAL * median(found) if found else 0.0
    worth = MIDDLE_WORTH * len(found)
    squares = HAND_WORTH * (GAIN_ERRORS * hand) ** 2 + worth * own**2
    return math.sqrt(squares / (HAND_WORTH + worth))


def _distances(litter: Mapping[int, Sizes], on: Date) -> list[float]:
    """Of each gain in its last weighings from that of the middle one."""
    days = sorted({day for sizes in litter.values() for day in sizes if day <= on})[-SPREAD_DAYS:]
    found = []
    for day in days:
        until = {
            key: {when: size for when, size in sizes.items() if when <= day}
            for key, sizes in litter.items()
        }
        gains = [gain_of(key, until) for key, sizes in until.items() if day in sizes]
        found += [abs(one.behind) for one in gains if one is not None]
    return found


def lighter(points: Sequence[tuple[Date, float, float]], power: float) -> float | None:
    """How much lighter for its width than at its three weighings before, in logs; below 0: heavier.

    points: day, width, grams, oldest first. power: of the weight by the width. None: too few.

    >>> days = [Date(2026, 3, day) for day in (1, 8, 15, 22)]
    >>> same = [(day, 100.0 + n, (100.0 + n) ** 3) for n, day in enumerate(days)]
    >>> abs(round(lighter(same, 3.0), 6)), lighter(same[:3], 3.0)
    (0.0, None)
    """
    if not points:
        return None
    latest = points[-1][0]
    flesh = [
        math.log(grams) - power * math.log(width)
        for day, width, grams in points
        if (latest - day).days <= BEFORE_DAYS
    ]
    if len(flesh) <= THINNER_BEFORE:
        return None
    return median(flesh[-1 - THINNER_BEFORE : -1]) - flesh[-1]
