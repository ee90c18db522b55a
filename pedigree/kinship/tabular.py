"""The tabular method on a moving front: kinship of the animals that still become parents."""

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from pedigree.kinship.front import Change, Front
from pedigree.kinship.matrices import Descent, Numbers, Scale, Square, Strips
from pedigree.layout import Levels
from pedigree.rows import Floats, Ints

LARGEST_SQUARE = 1_100  # places; a table in the processor's cache needs no saving
ASKED = 20_000  # animals whose parents' kinship is looked up together


@dataclass(frozen=True)
class Table:
    """What the tabular method finds: of every node, and among the nodes kept."""

    between: Numbers  # (nodes,) kinship of the two a node stems from: F of an animal
    own: Numbers  # (nodes,) kinship with itself
    kept: Numbers  # (m, m) kinship of the nodes to keep


def tabular(
    levels: Levels,
    keep: Ints,
    front: Front | None = None,
    *,
    numbers: Literal["float", "integer", "fraction"] = "float",
    unit: Floats | None = None,
) -> Table:
    """F of every node and the kinship of the nodes to keep.

    `keep` are places in `levels`, each at most once. Float64: only sums and halvings, so exact to
    about 25 generations. "integer": exact, for pedigrees without mixtures; "fraction": exact,
    slower. `unit` (nodes,) stands for the 1 in the kinship of an animal with itself, (1 + F)/2: the
    part of its genes from one founder gives the kinship through that founder (floats only).

    Cost: for every animal that enters the table, the number of those in it by then, so quadratic
    in the breeders of a generation and linear in generations; memory half the square of the
    largest front.

    Source: Emik & Terrill 1949, J. Hered. 40:51-55; Henderson 1976, Biometrics 32:69-83.
    """
    front = front or Front(levels, keep)
    scale = Scale(levels, numbers)
    ones: Any = scale.one if unit is None else unit
    between = scale.zeros(len(levels.first))
    own = scale.zeros(len(levels.first))
    present = _Present(levels, front, scale)
    for level, (begin, end) in enumerate(levels.slices()):
        if level:
            for start in range(begin, end, ASKED):
                stop = min(start + ASKED, end)
                between[start:stop] = present.between_parents(start, stop)
        change = front.changes[level]
        if len(change.leaving_before):
            present.leave(change.leaving_before)
        if len(change.entering):
            itself = between[change.entering] + (ones if unit is None else unit[change.entering])
            present.enter(change, scale.halved(itself), own)
        if len(change.leaving_after):
            present.leave(change.leaving_after)
    kept = scale.out(present.among(keep))
    del present  # the table is large, and what follows needs room of its own
    animals = ~levels.is_mixture
    own[animals] = scale.halved(between[animals] + (ones if unit is None else ones[animals]))
    return Table(scale.out(between), scale.out(own), kept)


class _Present:
    """The animals in the front, and where they are in the table."""

    def __init__(self, levels: Levels, front: Front, scale: Scale) -> None:
        self._levels, self._front, self._scale = levels, front, scale
        self._has_mixtures = bool(levels.is_mixture.any())
        in_halves = scale.is_float and front.peak > LARGEST_SQUARE
        self._table = Strips(front.peak) if in_halves else Square(front.peak, scale)
        self._place = np.zeros(len(levels.first) + 1, np.int64)  # 0: not there, or unknown
        self._asked_from = self._asked_to = 0

    def between_parents(self, begin: int, end: int) -> Numbers:
        """Kinship of the two that each of these nodes stems from."""
        if end > self._asked_to:  # who stands for whom is looked up for several levels at once
            self._asked_from, self._asked_to = begin, max(end, begin + ASKED)
            self._asked = self._front.of_parents(slice(begin, self._asked_to))
        who = self._asked[:, :, begin - self._asked_from : end - self._asked_from]
        places = self._place[who]
        found = self._table.pairs(places[:, None, 0], places[None, :, 1])
        mean: Numbers = self._scale.halved(
            np.add.reduce(found, axis=(0, 1)), (len(who) ** 2).bit_length() - 1
        )
        return mean

    def enter(self, change: Change, itself: Numbers, own: Numbers) -> None:
        """Animals of one level, and their kinship with themselves; none is another's parent.

        The kinship of mixtures with themselves is found here, and written into `own`.
        """
        nodes = change.entering
        moved = self._table.squeezed(len(nodes))
        if moved is not None:
            self._place = moved[self._place]
        for start in range(0, len(nodes), self._table.together):
            part = slice(start, start + self._table.together)
            some = nodes[part]
            stands = self._place[change.stands[:, :, part]]
            share = None
            if self._has_mixtures and self._levels.is_mixture[some].any():
                is_mixture = self._levels.is_mixture[some]
                share, rest = self._scale.shares(self._levels, some)
                one, other = (self._table.pairs(who, who) for who in stands[0])
                mixed = (share * one + rest * other)[is_mixture]
                itself[part][is_mixture] = own[some[is_mixture]] = mixed
            self._place[some] = self._table.enter(Descent(stands, share, self._scale), itself[part])

    def leave(self, nodes: Ints) -> None:
        self._table.leave(self._place[nodes])
        self._place[nodes] = 0

    def among(self, nodes: Ints) -> Numbers:
        """Kinship of nodes that are present with each other: (n, n)."""
        return self._table.among(self._place[nodes])
