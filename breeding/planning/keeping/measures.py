"""What a program loses without some of its young, and how many of them carry most of it; pure."""

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Numbers = npt.NDArray[np.float64]

# Assumptions: less gene diversity than this is nothing; and one more is worth holding back while
# it adds half of what the first did.
WORTH_KEEPING = 0.0005
WORTH_ONE_MORE = 0.5


@dataclass(frozen=True)
class Gains:
    """Gene diversity of the program with none of some young, with one, with two and so on.

    order: their places, whoever adds most first; of equals whoever stood first. without_each: the
    gene diversity with all but one, by place. mean_kinship: of each with the whole program.
    """

    with_so_many: tuple[float, ...]
    order: tuple[int, ...]
    without_each: tuple[float, ...]
    mean_kinship: tuple[float, ...]

    @property
    def lost_with_all(self) -> float:
        """What goes with all of them, against holding back the best number of them."""
        return max(self.with_so_many) - self.with_so_many[0]

    @property
    def worth_keeping(self) -> int:
        """How many to hold back: 0 where nothing is lost."""
        steps = np.diff(self.with_so_many)
        if not len(steps) or steps[0] < WORTH_KEEPING:
            return 0
        return 1 + int(np.cumprod(steps[1:] >= WORTH_ONE_MORE * steps[0]).sum())


def gains_of(total: float, number: int, sums: Numbers, among: Numbers) -> Gains:
    """What each of these young adds, to a rest of so many whose kinship comes to a total.

    total: over the rest, each with each, itself included, (1 + F) / 2. sums: of each of the young
    with all the rest, (k,). among: the young with each other, (k, k); at least one. Gene diversity
    is 1 less the mean kinship of those who are there, themselves included (Lacy 1995, Zoo Biol
    14:565-578). Nothing is reckoned anew for each: sums are all that is asked. Cost: the square of
    the young.

    >>> found = gains_of(0.5, 1, np.zeros(2), np.eye(2) / 2)  # three unrelated, two of them young
    >>> [round(one, 3) for one in found.with_so_many], found.worth_keeping
    ([0.5, 0.75, 0.833], 1)
    """
    own = among.diagonal()
    left, order, found = list(range(len(sums))), list[int](), [_diversity(total, number)]
    to_those_in = sums.copy()
    while left:
        adds = np.round(2 * to_those_in + own, 12)  # the less, the more diversity comes
        best = min(left, key=lambda place: (float(adds[place]), place))
        total += float(2 * to_those_in[best] + own[best])
        to_those_in = to_those_in + among[best]
        order.append(best)
        left.remove(best)
        found.append(_diversity(total, number + len(order)))
    with_all, everybody = sums + among.sum(axis=1), number + len(sums)
    without = [
        _diversity(total - 2 * float(with_all[place]) + float(own[place]), everybody - 1)
        for place in range(len(sums))
    ]
    means = with_all / everybody
    return Gains(tuple(found), tuple(order), tuple(without), tuple(means.tolist()))


def _diversity(total: float, number: int) -> float:
    """Of nobody: none."""
    return 1 - total / number**2 if number else 0.0


def rarer(sexes: Collection[str]) -> str:
    """The sex of which fewer are there, "F" or "M"; empty where neither is.

    >>> rarer(["F", "M", "M", "U"]), rarer(["F", "M"])
    ('F', '')
    """
    females, males = (sum(one == sex for one in sexes) for sex in "FM")
    return "" if females == males else "F" if females < males else "M"
