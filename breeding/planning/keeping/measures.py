"""What a program loses without some of its young, and how many of them carry most of it; pure."""

from collections.abc import Collection, Sequence
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


def gains_of(kinship: Numbers, rest: Sequence[int], young: Sequence[int]) -> Gains:
    """What each of these young adds, read from one table of kinship.

    kinship: between all of them, (m, m), an animal's own (1 + F) / 2 on the diagonal. rest, young:
    places in it, no place in both; at least one young. Gene diversity is 1 less the mean of the
    table over those who are there, themselves included (Lacy 1995, Zoo Biol 14:565-578). Nothing
    is reckoned anew for each: sums of rows are all that is asked. Cost: the square of the young.

    >>> unrelated = np.eye(3) / 2
    >>> found = gains_of(unrelated, rest=[0], young=[1, 2])
    >>> [round(one, 3) for one in found.with_so_many], found.worth_keeping
    ([0.5, 0.75, 0.833], 1)
    """
    everybody = [*rest, *young]
    total = float(kinship[np.ix_(rest, rest)].sum()) if len(rest) else 0.0
    sums = kinship[np.ix_(young, rest)].sum(axis=1) if len(rest) else np.zeros(len(young))
    own = np.array([kinship[one, one] for one in young])
    left, order, found = list(range(len(young))), [], [_diversity(total, len(rest))]
    among = sums.copy()
    while left:
        best = min(left, key=lambda place: (round(2 * among[place] + own[place], 12), place))
        total += float(2 * among[best] + own[best])
        among = among + kinship[[young[best]], :][0][list(young)]
        order.append(best)
        left.remove(best)
        found.append(_diversity(total, len(rest) + len(order)))
    with_all = kinship[np.ix_(young, everybody)].sum(axis=1)
    without = [
        _diversity(total - 2 * float(with_all[place]) + float(own[place]), len(everybody) - 1)
        for place in range(len(young))
    ]
    means = with_all / len(everybody)
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
