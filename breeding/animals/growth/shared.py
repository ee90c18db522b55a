"""Least squares of a few unknowns that all animals share and of a few that each has alone; pure.

What one animal's rows say of another's own unknowns is nothing, so that the normal equations are
small blocks with a border: they are solved animal by animal, in a time that grows with the animals
and not with their cube (elimination by blocks: Golub and Van Loan, Matrix Computations, 4th ed.,
3.2.11). General sparse solvers of scipy came to the same and took some hundred times as long, since
each round of theirs runs in Python.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from breeding.animals.growth.curve import Numbers

MOST_STEPS = 100
CAUTION, LESS, MORE = 1e-3, 0.1, 10.0  # how much a step is held back at first, and after each
MOST_CAUTION = 1e12
NEAR = 0.01  # relative: what a step takes off the squares where the least ones are near
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

    def held_back(self, share: float) -> "Blocks":
        """With so much more on the diagonal."""
        at = np.arange(self.own.shape[1])
        own = self.own.copy()
        own[:, at, at] *= 1 + share
        return Blocks(self.common + share * np.diag(np.diag(self.common)), self.border, own)

    def solved(self, right: Numbers) -> Numbers:
        """The unknowns whose curvature comes to the right side, shape (s + n o,)."""
        shared = len(self.common)
        of_own = right[shared:].reshape(len(self.own), -1)
        apart, leaning, left = self._apart
        common = np.linalg.solve(left, right[:shared] - np.einsum("nso,no->s", leaning, of_own))
        own = np.einsum("nop,np->no", apart, of_own) - np.einsum("nso,s->no", leaning, common)
        return np.concatenate([common, own.ravel()])

    @property
    def is_bowl(self) -> bool:
        """Whether it rises to all sides."""
        return _rises(self.own) and _rises(self._apart[2][None])

    def doubt(self) -> tuple[Numbers, Numbers]:
        """Of the inverse: the block of the shared unknowns (s, s), and the diagonal of the own
        ones (n, o)."""
        apart, leaning, left = self._apart
        common = np.asarray(np.linalg.inv(left), dtype=float)
        over = np.einsum("nso,st->nto", leaning, common)
        own = np.diagonal(apart, axis1=1, axis2=2) + np.einsum("nso,nso->no", over, leaning)
        return common, own

    @cached_property
    def _apart(self) -> tuple[Numbers, Numbers, Numbers]:
        """The inverse of each own block, the border times that, and what is left of the common
        one without the border."""
        apart = _turned(self.own)
        leaning = np.einsum("nso,nop->nsp", self.border, apart)
        return apart, leaning, self.common - np.einsum("nso,nto->st", leaning, self.border)


def _turned(own: Numbers) -> Numbers:
    """The inverse of each; of two unknowns by hand, which takes a tenth of the time."""
    if own.shape[1] != 2:
        return np.asarray(np.linalg.inv(own), dtype=float)
    first, off, last = own[:, 0, 0], own[:, 0, 1], own[:, 1, 1]
    turned = np.array([[last, -off], [-off, first]]) / (first * last - off**2)
    return turned.transpose(2, 0, 1)


def _rises(blocks: Numbers) -> bool:
    """Whether each is positive definite."""
    try:
        np.linalg.cholesky(blocks)
    except np.linalg.LinAlgError:
        return False
    return True


@dataclass(frozen=True)
class Looked:
    """A sum of squares at some unknowns: half of it, how it rises with each, its curvature."""

    half: float
    rises: Numbers
    blocks: Blocks


Look = Callable[[Numbers], Looked]


def least_of(
    look: Look, first: Numbers, *, whole: Look | None = None, near: bool = False
) -> Numbers:
    """The unknowns near `first` whose sum of squares is least.

    look: with the curvature as if every miss were straight in the unknowns. Steps are held back
    where it is not: Marquardt 1963, J. Soc. Indust. Appl. Math. 11, 431-441. whole: with what the
    misses bend as well, which near the least ones leads there at once (Newton's method), where the
    straight one comes nearer by a share with every step. near: the first ones are so already.
    """
    at, here, caution = first, None, CAUTION
    for _ in range(MOST_STEPS):
        if near and whole is not None:
            at, is_there = _led_there(whole, at)
            if is_there:
                break
            here, near = None, False
        here = here or look(at)
        step = here.blocks.held_back(caution).solved(-here.rises)
        there = _beyond(look, at + step)
        if not there.half <= here.half:
            caution *= MORE
            if caution > MOST_CAUTION:
                break
            continue
        fallen = here.half - there.half
        at, here, caution = at + step, there, caution * LESS
        if fallen <= CLOSE * here.half:
            break
        near = fallen <= NEAR * here.half
    return at


def _led_there(whole: Look, at: Numbers) -> tuple[Numbers, bool]:
    """As far as whole steps lead, and whether the squares no longer fall there."""
    here = whole(at)
    for _ in range(MOST_STEPS):
        if not here.blocks.is_bowl:
            return at, False
        step = here.blocks.solved(-here.rises)
        if -(here.rises @ step) <= 2 * CLOSE * here.half:
            return at + step, True
        there = _beyond(whole, at + step)
        if not there.half <= here.half:
            return at, False
        at, here = at + step, there
    return at, True


def _beyond(look: Look, at: Numbers) -> Looked:
    """Where a step leads; one that goes too far is not taken."""
    with np.errstate(over="ignore", invalid="ignore"):
        return look(at)
