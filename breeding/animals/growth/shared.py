"""Least squares of a few unknowns that all animals share and of a few that each has alone; pure.

What one animal's rows say of another's own unknowns is nothing, so that the normal equations are
small blocks with a border: they are solved animal by animal, in a time that grows with the animals
and not with their cube (elimination by blocks: Golub and Van Loan, Matrix Computations, 4th ed.,
3.2.11). General sparse solvers of scipy came to the same and took some hundred times as long, since
each round of theirs runs in Python.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from breeding.animals.growth.curve import Numbers

MOST_STEPS = 100
CAUTION, LESS, MORE = 1e-3, 0.1, 10.0  # how much a step is held back at first, and after each
MOST_CAUTION = 1e12
CLOSE = 1e-12  # relative: the squares no longer fall


@dataclass(frozen=True)
class Blocks:
    """The curvature of half a sum of squares, n animals with o unknowns each of their own.

    common: shape (s, s), of the s shared unknowns. border: (n, s, o). own: (n, o, o).
    All unknowns in one row: the shared ones, then each animal's own.
    """

    common: Numbers
    border: Numbers
    own: Numbers

    @classmethod
    def of(cls, slopes: Numbers, begins: npt.NDArray[np.intp], known: Numbers) -> "Blocks":
        """slopes: (m, s + o), what a row changes with the shared unknowns and with its animal's;
        the rows of an animal stand together, and begins (n,) says where. known: (s,), the
        curvature that is known of each shared unknown beforehand; of every own one it is 1.
        """
        squares = np.add.reduceat(slopes[:, :, None] * slopes[:, None, :], begins)
        shared = len(known)
        return cls(
            squares[:, :shared, :shared].sum(axis=0) + np.diag(known),
            squares[:, :shared, shared:],
            squares[:, shared:, shared:] + np.eye(slopes.shape[1] - shared),
        )

    def held_back(self, share: float) -> "Blocks":
        """With so much more on the diagonal."""
        at = np.arange(self.own.shape[1])
        own = self.own.copy()
        own[:, at, at] *= 1 + share
        return Blocks(self.common + share * np.diag(np.diag(self.common)), self.border, own)

    def solved(self, right: Numbers) -> Numbers:
        """The unknowns whose curvature comes to the right side, shape (s + n o,)."""
        shared = len(self.common)
        of_own = right[shared:].reshape(len(self.own), -1, 1)
        apart, left = self._apart()
        toward = right[:shared] - (self.border @ (apart @ of_own)).sum(axis=0)[:, 0]
        common = np.linalg.solve(left, toward)
        own = apart @ (of_own - self.border.transpose(0, 2, 1) @ common[:, None])
        return np.concatenate([common, own.ravel()])

    def doubt(self) -> tuple[Numbers, Numbers]:
        """Of the inverse: the block of the shared unknowns (s, s), and the diagonal of the own
        ones (n, o)."""
        apart, left = self._apart()
        common = np.asarray(np.linalg.inv(left), dtype=float)
        leaning = apart @ self.border.transpose(0, 2, 1)
        own = apart + leaning @ common @ leaning.transpose(0, 2, 1)
        return common, np.diagonal(own, axis1=1, axis2=2)

    def _apart(self) -> tuple[Numbers, Numbers]:
        """The inverse of each own block, and what is left of the common one without the border."""
        apart = np.asarray(np.linalg.inv(self.own), dtype=float)
        taken = self.border @ apart @ self.border.transpose(0, 2, 1)
        return apart, self.common - taken.sum(axis=0)


@dataclass(frozen=True)
class Looked:
    """A sum of squares at some unknowns: half of it, how it rises with each, its curvature."""

    half: float
    rises: Numbers
    blocks: Blocks


def least_of(look: Callable[[Numbers], Looked], first: Numbers) -> Numbers:
    """The unknowns near `first` whose sum of squares is least.

    Steps are held back where the sum is not as straight as it seems: Marquardt 1963, J. Soc.
    Indust. Appl. Math. 11, 431-441.
    """
    at, here, caution = first, look(first), CAUTION
    for _ in range(MOST_STEPS):
        step = here.blocks.held_back(caution).solved(-here.rises)
        with np.errstate(over="ignore", invalid="ignore"):  # a step too far is not taken
            there = look(at + step)
        if not there.half <= here.half:
            caution *= MORE
            if caution > MOST_CAUTION:
                break
            continue
        fallen = here.half - there.half
        at, here, caution = at + step, there, caution * LESS
        if fallen <= CLOSE * here.half:
            break
    return at
