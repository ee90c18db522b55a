"""What was seen brought together: the exact chances of all animals that bear on it."""

from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass

import numpy as np

from pedigree.rows import UNKNOWN, Floats, Ints
from pedigree.traits.elimination import Factor, GenotypeTree, Reckoning, megabytes
from pedigree.traits.inheritance import NOBODY, STATES
from pedigree.traits.locus import Bools, Locus, possible_copies
from pedigree.traits.order import Order
from pedigree.traits.refusals import TooTangled

MOST_MEGABYTES = 256.0


class Impossible(Exception):  # noqa: N818 - reads as a sentence
    """What was seen cannot be; whoever catches it says which animals contradict each other."""


@dataclass(frozen=True)
class Litters:
    """Animals without young on which something was seen: what they say of their two parents.

    They are no nodes of the tree: a litter is one table of its parents, however large it is.
    """

    nodes: Ints  # (n,)
    says: Floats  # (n, 4, 4), largest 1
    families: dict[tuple[int, int], Floats]  # both parents: what all their young say, (4, 4)
    logarithm: float  # of what was taken out of `says`

    @classmethod
    def of(cls, locus: Locus, nodes: Ints) -> "Litters":
        """For these animals. Cost: linear."""
        says = np.einsum("nabc,nc->nab", locus.tables[locus.kind[nodes]], locus.likelihood[nodes])
        families: dict[tuple[int, int], Floats] = {}
        logarithm = 0.0
        largest = says.max(axis=(1, 2), initial=0)
        if not (largest > 0).all():
            raise Impossible
        says /= largest[:, None, None]
        logarithm += float(np.log(largest).sum())
        parents = zip(locus.first[nodes].tolist(), locus.second[nodes].tolist(), strict=True)
        for family, one in zip(parents, says, strict=True):
            if family not in families:
                families[family] = one
                continue
            both = families[family] * one
            if not (top := both.max()) > 0:
                raise Impossible
            families[family] = both / top
            logarithm += float(np.log(top))
        return cls(nodes, says, families, logarithm)


class Reckoned:
    """One gene in a pedigree with all that was seen, summed up exactly.

    `core` are the animals that bear on what was seen: those on whom it was, and their ancestors.
    Everybody else only inherits from them. `wanted` are nodes to be held with these, `whole` takes
    in everybody. `copies` (n, 3) strikes out further copies. To make it only lays out the tables;
    `down` fills them. Raises Impossible.
    """

    def __init__(
        self,
        locus: Locus,
        wanted: Iterable[int] = (),
        most_megabytes: float = MOST_MEGABYTES,
        copies: Bools | None = None,
        whole: bool = False,
    ) -> None:
        self.locus = locus
        self.most_megabytes = most_megabytes
        kept = np.zeros(locus.size, np.bool_)
        kept[list(wanted)] = True
        if whole:
            self.core = ~locus.sex_unknown
        else:
            self.core = locus.above(np.flatnonzero(locus.informed() | kept).tolist())
        can = possible_copies(locus, self.core, copies)
        if can is None:
            raise Impossible
        is_parent = np.zeros(locus.size + 1, np.bool_)
        is_parent[locus.first] = is_parent[locus.second] = True
        leaf = self.core & ~is_parent[:-1] & ~kept
        self.litters = Litters.of(locus, np.flatnonzero(leaf))
        self.nodes = np.flatnonzero(self.core & ~leaf).tolist()
        self.states = {node: np.flatnonzero(can[node]) for node in self.nodes}
        self._lay_out({}, None)

    def _lay_out(self, held: Mapping[int, Ints], order: Order | None) -> None:
        self._held = held
        self._constant: Floats = np.full(1, self.litters.logarithm)
        self._reckoning: Reckoning | None = None
        self._is_down = False
        self.free = {
            node: len(found)
            for node, found in self.states.items()
            if len(found) > 1 and node not in held
        }
        self.factors = self._factors()
        self._order = order
        self._tree: GenotypeTree | None = None

    def holding(self, held: Mapping[int, Ints], order: Order | None = None) -> "Reckoned":
        """The same with copies of some nodes held, (questions,) each: a question for each choice.

        `order` spares looking for one, where the same nodes were held before.
        """
        found = copy(self)
        found._lay_out(held, order)
        return found

    @property
    def tree(self) -> GenotypeTree:
        """The order of elimination is looked for when this is first asked."""
        if self._tree is None:
            self._tree = GenotypeTree(self.free, self.factors, self._order)
        return self._tree

    @property
    def megabytes(self) -> float:
        """What the tables take."""
        return megabytes(self.tree.entries)

    @property
    def reckoning(self) -> Reckoning:
        """The tables after the way up. Raises TooTangled where they would be too large."""
        if self._reckoning is None:
            if self.megabytes > self.most_megabytes:
                raise TooTangled(self.tree.order.widest(), self.megabytes, self.most_megabytes)
            self._reckoning = self.tree.up()
            if not np.isfinite(self._reckoning.logarithm[0]):
                raise Impossible
        return self._reckoning

    @property
    def logarithm(self) -> float:
        """The natural logarithm of how likely everything seen is together."""
        return self.locus.logarithm + float((self._constant + self.reckoning.logarithm)[0])

    # ------------------------------------------------------------------------- on the way up

    def _factors(self) -> list[Factor]:
        """Each node by its parents, with what was seen on it; each family by its parents."""
        locus = self.locus
        found: list[Factor] = []
        for node in self.nodes:
            table = locus.tables[locus.kind[node]] * locus.likelihood[node]
            self._add(found, (int(locus.first[node]), int(locus.second[node]), node), table)
        for family, says in self.litters.families.items():
            self._add(found, family, says)
        return found

    def _add(self, to: list[Factor], nodes: tuple[int, ...], table: Floats) -> None:
        """A table of these nodes with an axis for each that is neither certain nor held."""
        free = tuple(node for node in dict.fromkeys(nodes) if node in self.free)
        block = table[tuple(self._along(node, free) for node in nodes)]
        if free:
            to.append((free, block))
        elif (block > 0).all():
            self._constant = self._constant + np.log(block)
        else:
            raise Impossible

    def _along(self, node: int, free: tuple[int, ...]) -> Ints:
        """The copies of a node as an index along its own axis, or the last when it is held."""
        if node in self._held:
            return self._held[node].reshape([1] * len(free) + [-1])
        shape = [1] * (len(free) + 1)
        index = self._index(node)
        if node in free:
            shape[free.index(node)] = len(index)
        return index.reshape(shape)

    def _index(self, node: int) -> Ints:
        return self.states[node] if node != UNKNOWN else np.array([NOBODY])

    # ----------------------------------------------------------------------- on the way down

    def down(self) -> "Reckoned":
        """Make the chances ready to be read."""
        if not self._is_down:
            self.reckoning.down()
            self._is_down = True
        return self

    def chances(self) -> dict[int, Floats]:
        """Of 0, 1, 2 copies, for every node of the core: (3,)."""
        self.down()
        found = {node: self._spread(node) for node in self.nodes}
        if len(nodes := self.litters.nodes):
            locus = self.locus
            parents = zip(locus.first[nodes].tolist(), locus.second[nodes].tolist(), strict=True)
            joint = {family: self.together(*family) for family in self.litters.families}
            both = np.array([joint[family] for family in parents])
            says = self.litters.says
            both = np.divide(both, says, out=np.zeros_like(both), where=says > 0)
            own = np.einsum("nab,nabc->nc", both, locus.tables[locus.kind[nodes]])
            own *= locus.likelihood[nodes]
            own /= own.sum(axis=1, keepdims=True)
            found |= dict(zip(nodes.tolist(), own, strict=True))
        return found

    def _spread(self, node: int) -> Floats:
        found = np.zeros(STATES)
        states = self.states[node]
        found[states] = self.reckoning.chances([node])[0] if len(states) > 1 else 1.0
        return found

    def are_joined(self, one: int, other: int) -> bool:
        """Whether `together` can tell of these two: they stand in one table, or one is certain."""
        if UNKNOWN in (one, other) or one == other:
            return True
        if len(self.states[one]) == 1 or len(self.states[other]) == 1:
            return True
        first = self.tree.group_of((one, other))
        return (other if first == one else one) in self.tree.order.beside[first]

    def together(self, one: int, other: int) -> Floats:
        """Joint chances of two nodes that are joined, index 3 for nobody: (4, 4)."""
        found = np.zeros((NOBODY + 1, NOBODY + 1))
        free = [node for node in dict.fromkeys((one, other)) if len(self._index(node)) > 1]
        table = self.reckoning.chances(free)[0] if free else np.ones(())
        if one == other != UNKNOWN:
            table = np.diag(np.atleast_1d(table))
        shape = len(self._index(one)), len(self._index(other))
        found[np.ix_(self._index(one), self._index(other))] = table.reshape(shape)
        return found

    # ---------------------------------------------------------------- more questions at once

    def asked(self, weights: dict[int, Floats], of: Sequence[int]) -> dict[int, Floats]:
        """Chances of some nodes, (questions, 3) each, if the copies of others weighed so.

        `weights` is (questions, 3) for each of these. A question that cannot be gives zeros.
        """
        questions = len(next(iter(weights.values())))
        free = {
            node: one[:, self.states[node]]
            for node, one in weights.items()
            if len(self.states[node]) > 1
        }
        found = self.tree.up(free).down() if free else self.down().reckoning
        result = {}
        for node in of:
            spread = np.zeros((questions, STATES))
            states = self.states[node]
            spread[:, states] = found.chances([node]) if len(states) > 1 else 1.0
            result[node] = spread
        return result
