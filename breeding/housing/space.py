"""How much floor animals want, by their widths and the rule of their species; pure.

The rule is an assumption of this project; its figures are data (fixtures/species.json). With them
two rays of 58 cm want the 4 m2 that Austria asks for two rays (by zootier-lexikon).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Numbers = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Rule:
    """What one animal wants: in its widths, and for the floor in squares of its width.

    floor_first: where it is the one that wants most; floor_further: beside such a one.
    """

    front_to_back: float
    length: float
    floor_first: float
    floor_further: float

    @property
    def says_anything(self) -> bool:
        """A floor of 0 stands for "nothing is known"."""
        return self.floor_first > 0


@dataclass(frozen=True)
class Wanted:
    """What some animals want together: two sides in mm and a floor in mm2, one value a day."""

    front_to_back: Numbers
    length: Numbers
    floor: Numbers


@dataclass(frozen=True)
class Floor:
    """The floor of a tank in mm; which side was called its length does not matter."""

    one_side: float
    other_side: float

    @property
    def length(self) -> float:
        return max(self.one_side, self.other_side)

    @property
    def front_to_back(self) -> float:
        return min(self.one_side, self.other_side)

    @property
    def area(self) -> float:
        return self.one_side * self.other_side

    def is_too_small(self, wanted: Wanted) -> npt.NDArray[np.bool_]:
        """On which of the days something is lacking."""
        too_narrow = wanted.front_to_back > self.front_to_back
        too_short = wanted.length > self.length
        return np.asarray(too_narrow | too_short | (wanted.floor > self.area))


def wanted_by(widths_mm: Numbers, rules: Sequence[Rule]) -> Wanted:
    """What animals want together.

    widths_mm: one row an animal, one column a day; at least one of each. rules: of each animal.
    The largest sets the sides. One has the floor of a first, the others that of a further one;
    with one rule for all the first is the largest, with several it is whoever asks for most more.

    >>> ray = Rule(front_to_back=2, length=4, floor_first=8, floor_further=4)
    >>> two = wanted_by(np.array([[580.0], [580.0]]), [ray, ray])
    >>> [float(side[0]) for side in (two.front_to_back, two.length, two.floor)]
    [1160.0, 2320.0, 4036800.0]
    """
    each = np.array(
        [[one.front_to_back, one.length, one.floor_first, one.floor_further] for one in rules]
    )
    across, along, first, further = (column[:, None] for column in each.T)
    squares = widths_mm**2
    floor = (further * squares).sum(axis=0) + ((first - further) * squares).max(axis=0)
    return Wanted((across * widths_mm).max(axis=0), (along * widths_mm).max(axis=0), floor)


def first_day(floor: Floor, widths_mm: Numbers, rules: Sequence[Rule]) -> int | None:
    """The first column on which the floor is too small for these; None when it never is.

    >>> ray = Rule(front_to_back=2, length=4, floor_first=8, floor_further=4)
    >>> first_day(Floor(2000, 1000), np.array([[480.0, 500.0, 510.0]]), [ray])
    2
    """
    days = np.flatnonzero(floor.is_too_small(wanted_by(widths_mm, rules)))
    return int(days[0]) if len(days) else None
