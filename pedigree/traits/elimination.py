"""Sums over all genotypes at once: tables of a few animals each, joined up and down a tree."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import reduce
from typing import Any

import numpy as np

from pedigree.rows import Floats, Ints
from pedigree.traits.order import Order, elimination_order

Factor = tuple[tuple[int, ...], Floats]  # nodes; a table with an axis for each, and of questions


@dataclass
class _Group:
    """A node with those it depends on when it is taken out; it has the first axis."""

    nodes: tuple[int, ...]
    shape: tuple[int, ...]
    above: int | None  # the group that takes up what this one says of the others
    factors: list[Floats] = field(default_factory=list)  # (..., 1) with an axis for each node


class GenotypeTree:
    """Groups of nodes, each with a table, in a tree: every chance from one way up and one down.

    The last axis of the tables takes several questions at a time; the axes before it are in the
    order of elimination, so that sums and products run over long stretches of memory. Memory and
    time: the tables, whose size grows with the states to the power of the widest group.

    Source: Cannings, Thompson & Skolnick 1978, Adv. Appl. Prob. 10:26-61; Lauritzen & Spiegelhalter
    1988, J. R. Stat. Soc. B 50:157-224 (the way down); Totir, Fernando & Abraham 2009, Genet. Sel.
    Evol. 41:52 (the same in a pedigree).
    """

    def __init__(
        self, sizes: Mapping[int, int], factors: Sequence[Factor], order: Order | None = None
    ) -> None:
        scopes = [nodes for nodes, _ in factors]
        self.order = order or elimination_order(sizes, scopes)
        self.sizes = sizes
        self._place = {node: place for place, node in enumerate(self.order.nodes)}
        self.groups: dict[int, _Group] = {}
        for node in self.order.nodes:
            others = sorted(self.order.beside[node], key=self._place.__getitem__)
            nodes = (node, *others)
            above = others[0] if others else None
            self.groups[node] = _Group(nodes, tuple(sizes[one] for one in nodes), above)
        for nodes, table in factors:
            in_order = sorted(nodes, key=self._place.__getitem__)
            ordered = table.transpose([*(nodes.index(one) for one in in_order), len(nodes)])
            group = self.groups[in_order[0]]
            group.factors.append(_stretched(ordered, in_order, group.nodes))

    @property
    def entries(self) -> int:
        """Of all tables, for one question."""
        return self.order.entries

    def up(self, weights: Mapping[int, Floats] | None = None) -> Reckoning:
        """Sum the nodes out one after the other. `weights`: node to (questions, states)."""
        weights = weights or {}
        logarithm: Floats = np.zeros(1)
        tables: dict[int, Floats] = {}
        said: dict[int, Floats] = {}
        waiting: dict[int, list[Floats]] = {}
        for node in self.order.nodes:
            group = self.groups[node]
            parts = [*group.factors, *waiting.pop(node, [])]
            if node in weights:
                weight = weights[node].T
                parts.append(_stretched(weight, [node], group.nodes))
            parts.sort(key=_entries)
            table = reduce(np.multiply, parts)
            shape = (*group.shape, table.shape[-1])
            tables[node] = table if table.shape == shape else np.broadcast_to(table, shape)
            message = table.sum(axis=0)
            axes = tuple(range(message.ndim - 1))
            largest = message.max(axis=axes, keepdims=True)
            with np.errstate(divide="ignore"):
                logarithm = logarithm + np.log(largest.reshape(-1))
            message = message / np.where(largest > 0, largest, 1)
            if group.above is not None:
                said[node] = message
                above = self.groups[group.above].nodes
                waiting.setdefault(group.above, []).append(
                    _stretched(message, group.nodes[1:], above)
                )
        return Reckoning(self, tables, said, logarithm)

    def group_of(self, nodes: Sequence[int]) -> int:
        """Whose group holds these nodes, which came together in a factor."""
        return min(nodes, key=self._place.__getitem__)


class Reckoning:
    """The tables after the way up; `logarithm` (questions,) is that of what all was seen."""

    def __init__(
        self,
        tree: GenotypeTree,
        tables: dict[int, Floats],
        said: dict[int, Floats],
        logarithm: Floats,
    ) -> None:
        self._tree = tree
        self._tables = tables
        self._said = said
        self.logarithm = logarithm

    def down(self) -> Reckoning:
        """Tell every group what the others say: each table becomes its chances, which sum to 1."""
        for node in reversed(self._tree.order.nodes):
            group, table = self._tree.groups[node], self._tables[node]
            if group.above is not None:
                told = self._summed(group.nodes[1:], group.above)
                table = table * _quotient(told, self._said[node])
            axes = tuple(range(table.ndim - 1))
            self._tables[node] = _quotient(table, table.sum(axis=axes, keepdims=True))
        return self

    def chances(self, nodes: Sequence[int]) -> Floats:
        """Joint chances of nodes that stand in one group: (questions, ...), in the order given."""
        group = self._tree.group_of(nodes)
        held = [one for one in self._tree.groups[group].nodes if one in nodes]
        found = self._summed(nodes, group)
        return found.transpose([len(held), *(held.index(one) for one in nodes)])

    def _summed(self, nodes: Sequence[int], group: int) -> Floats:
        """Over all others of the group: an axis for each of the nodes, in the group's order."""
        held = self._tree.groups[group].nodes
        others = tuple(axis for axis, one in enumerate(held) if one not in nodes)
        found: Floats = self._tables[group].sum(axis=others)
        return found

    def drawn(self, draws: int, rng: np.random.Generator) -> dict[int, Ints]:
        """States of every node, (draws,) each, all together as likely as they are.

        One draw for each question, or so many for the only one.
        """
        found: dict[int, Ints] = {}
        for node in reversed(self._tree.order.nodes):
            table = self._tables[node]
            others = [found[one] for one in self._tree.groups[node].nodes[1:]]
            which = np.arange(draws) if table.shape[-1] > 1 else np.zeros(draws, np.int64)
            index: Any = (slice(None), *others, which)
            total = table[index].cumsum(axis=0)
            found[node] = (total <= rng.random(draws) * total[-1]).sum(axis=0)
        return found


def _entries(table: Floats) -> int:
    return table.size


def _quotient(one: Floats, other: Floats) -> Floats:
    """0 where both are 0."""
    found = np.zeros(np.broadcast_shapes(one.shape, other.shape))
    return np.divide(one, other, out=found, where=other > 0)


def _stretched(table: Floats, nodes: Sequence[int], over: Sequence[int]) -> Floats:
    """The table with an axis of length 1 for each node of a group that it does not hold."""
    axes = iter(table.shape)
    held = set(nodes)
    return table.reshape(*(next(axes) if one in held else 1 for one in over), table.shape[-1])


def megabytes(entries: int) -> float:
    """What tables of so many entries take, with what is needed to join them."""
    return entries * 8 * 2 / math.pow(2, 20)
