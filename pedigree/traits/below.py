"""Animals of whom nothing is known but their ancestors: their genes two by two."""

from collections.abc import Iterable, Mapping

import numpy as np

from pedigree.rows import UNKNOWN, Floats
from pedigree.traits.inheritance import STATES
from pedigree.traits.locus import DIPLOID, SINGLE, Locus
from pedigree.traits.reckoned import Reckoned
from pedigree.traits.refusals import TooTangled


class HandedOn:
    """What two nodes hand on, jointly: `table[a, b, i, j]` for the gene handed on (1) or not (0).

    As with kinship, what an animal hands on is what one of its parents handed to it; so from the
    pairs of those that bear on what was seen, all others follow by additions and halvings. Cost:
    a way up and down the tree for each node of the core here; the square of the nodes in memory.

    Source: the tabular method of kinship (Emik & Terrill 1949, J. Hered. 40:51-55), for a gene
    in place of identity by descent.
    """

    def __init__(self, reckoned: Reckoned, nodes: Iterable[int]) -> None:
        self._reckoned = reckoned
        locus, core = reckoned.locus, reckoned.core
        needed = above_core(reckoned, nodes)
        inside = [node for node in sorted(needed) if core[node]]
        below = [node for node in sorted(needed) if not core[node]]
        self.place: Mapping[int, int] = {
            node: at for at, node in enumerate([UNKNOWN, *inside, *below])
        }
        size = len(self.place)
        if (much := 32 * size**2 / 2**20) > reckoned.most_megabytes:
            raise TooTangled(size, much, reckoned.most_megabytes)
        self.table = np.zeros((2, 2, size, size))
        unknown = np.array([1 - locus.frequency, locus.frequency])
        self._alone = np.zeros((2, size))
        self._alone[:, 0] = unknown
        self.table[:, :, 0, 0] = np.outer(unknown, unknown)
        self._within(inside)
        for node in below:
            self._inherited(node)

    def _within(self, nodes: list[int]) -> None:
        """Pairs of the core: what the others hand on if one does, and if it does not."""
        if not nodes:
            return
        reckoned, end = self._reckoned, 1 + len(nodes)
        handed = {node: reckoned.locus.handed_on(node) for node in nodes}
        spread = reckoned.chances()
        for at, node in enumerate(nodes, 1):
            self._alone[1, at] = spread[node] @ handed[node]
            self._alone[0, at] = spread[node] @ (1 - handed[node])
        alone, table = self._alone[:, :end], self.table[:, :, :end, :end]
        table[:] = alone[:, None, :, None] * alone[None, :, None, :]
        free = [node for node in nodes if len(reckoned.states[node]) > 1]
        each = max(1, int(reckoned.most_megabytes * 2**16 / (2 * reckoned.tree.entries + 1)))
        for begin in range(0, len(free), each):
            self._ask(free[begin : begin + each], free, handed)
        for at, node in enumerate(nodes, 1):
            two = np.array([1 - handed[node], handed[node]])
            table[:, :, at, at] = np.einsum("as,bs,s->ab", two, two, spread[node])

    def _ask(self, asked: list[int], free: list[int], handed: Mapping[int, Floats]) -> None:
        weights = {}
        for at, node in enumerate(asked):
            weight = np.ones((2 * len(asked), STATES))
            weight[2 * at], weight[2 * at + 1] = 1 - handed[node], handed[node]
            weights[node] = weight
        found = self._reckoned.asked(weights, free)
        rows = [self.place[node] for node in asked]
        for other in free:
            for b, way in enumerate((1 - handed[other], handed[other])):
                share = (found[other] @ way).reshape(-1, 2).T
                self.table[:, b, rows, self.place[other]] = self._alone[:, rows] * share

    def _inherited(self, node: int) -> None:
        """A node outside the core, by those it stems from."""
        locus, at, table = self._reckoned.locus, self.place[node], self.table
        one, other = self.place[int(locus.first[node])], self.place[int(locus.second[node])]
        share = float(locus.tables[locus.kind[node], 1, 0, 1]) if locus.is_mixture[node] else 0.5
        if locus.kind[node] == SINGLE:
            share = 0.0
        row = share * table[:, :, one, :at] + (1 - share) * table[:, :, other, :at]
        table[:, :, at, :at] = row
        table[:, :, :at, at] = row.transpose(1, 0, 2)
        self._alone[:, at] = share * self._alone[:, one] + (1 - share) * self._alone[:, other]
        if locus.is_mixture[node]:
            itself = share * table[:, :, one, one] + (1 - share) * table[:, :, other, other]
        elif locus.kind[node] == SINGLE:
            itself = np.diag(self._alone[:, at])
        else:  # the same of its two genes again, or the other one
            both = table[:, :, one, other]
            itself = (np.diag(self._alone[:, at]) + (both + both.T) / 2) / 2
        table[:, :, at, at] = itself

    def young(self, sire: int, dam: int) -> Floats:
        """Chances of 0, 1, 2 copies of a young with two genes, of these two nodes: (3,)."""
        both = self.table[:, :, self.place[sire], self.place[dam]]
        return np.array([both[0, 0], both[0, 1] + both[1, 0], both[1, 1]])

    def single(self, parent: int) -> Floats:
        """Chances of a young that has one gene, of this node: (3,)."""
        zero, one = self._alone[:, self.place[parent]]
        return np.array([zero, one, 0.0])


EASY_QUESTIONS = 2**22  # entries of tables that are gone through at most without a second thought


def for_everybody(locus: Locus, most_megabytes: float) -> Reckoned:
    """Laid out so that the chances of all animals come cheaply: those below in or out of the tree.

    Raises Impossible.
    """
    lean = Reckoned(locus, most_megabytes=most_megabytes)
    if lean.megabytes > most_megabytes or not (apart := _apart(lean)):
        return lean
    parents = {int(side[node]) for node in apart for side in (locus.first, locus.second)}
    asked = sum(lean.core[node] for node in above_core(lean, parents))
    steps = 2 * asked * lean.tree.entries
    if steps <= EASY_QUESTIONS:
        return lean
    whole = Reckoned(locus, most_megabytes=most_megabytes, whole=True)
    fits = whole.megabytes <= most_megabytes
    return whole if fits and whole.tree.entries < steps else lean


def above_core(reckoned: Reckoned, nodes: Iterable[int]) -> set[int]:
    """These nodes and what they stem from, up to the core and with its first members."""
    locus, core = reckoned.locus, reckoned.core
    needed = {node for node in nodes if node != UNKNOWN}
    for node in range(max(needed, default=-1), -1, -1):
        if node in needed and not core[node]:
            needed |= {int(locus.first[node]), int(locus.second[node])} - {UNKNOWN}
    return needed


def _below(reckoned: Reckoned) -> list[int]:
    outside: list[int] = np.flatnonzero(~reckoned.core & ~reckoned.locus.is_mixture).tolist()
    return outside


def _apart(reckoned: Reckoned) -> list[int]:
    """Those outside the core whose parents stand in no table together."""
    locus, in_tree = reckoned.locus, {UNKNOWN, *reckoned.nodes}
    pairs = ((node, int(locus.first[node]), int(locus.second[node])) for node in _below(reckoned))
    return [
        node
        for node, one, other in pairs
        if not ({one, other} <= in_tree and reckoned.are_joined(one, other))
    ]


def chances_below(reckoned: Reckoned) -> dict[int, Floats]:
    """Of 0, 1, 2 copies, for every animal outside the core that is no mixture: (3,)."""
    locus = reckoned.locus
    found: dict[int, Floats] = {}
    tables = {
        DIPLOID: locus.tables[DIPLOID],
        SINGLE: locus.tables[SINGLE],
        None: (locus.tables[DIPLOID] + locus.tables[SINGLE]) / 2,
    }
    reckoned.down()
    apart = _apart(reckoned)
    for node in set(_below(reckoned)).difference(apart):
        kind = None if locus.sex_unknown[node] else int(locus.kind[node])
        both = reckoned.together(int(locus.first[node]), int(locus.second[node]))
        found[node] = np.einsum("ab,abc->c", both, tables[kind])
    parents = {int(side[node]) for node in apart for side in (locus.first, locus.second)}
    handed = HandedOn(reckoned, parents)
    for node in apart:
        one, other = int(locus.first[node]), int(locus.second[node])
        if locus.sex_unknown[node]:
            found[node] = (handed.young(one, other) + handed.single(other)) / 2
        elif locus.kind[node] == SINGLE:
            found[node] = handed.single(other)
        else:
            found[node] = handed.young(one, other)
    return found
