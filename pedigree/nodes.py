"""The animals as numbers, parents before young, with virtual nodes for sires nobody knows.

A litter by one sire that is one of several gets one *mixture* node: the sire is x with weight w,
else y; three candidates make a chain. A litter by one wholly unknown sire gets one *phantom*
founder. So litter mates share their sire for certain, as they should (two candidates at 1/2 give
full sibs a relationship of 1/2 through the dam and sire together, not 3/8).
"""

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

NOBODY = -1


@dataclass(frozen=True)
class Unrecorded:
    """The id of a sire that is not on record but is the same for a whole litter."""

    litter: Hashable

    def __str__(self) -> str:
        return "an unrecorded sire"


@dataclass
class Nodes:
    """Arrays over nodes: a node is an animal, a phantom founder or a mixture of two nodes."""

    ids: list[Hashable] = field(default_factory=list)
    first: list[int] = field(default_factory=list)  # sire, or the first part of a mixture
    second: list[int] = field(default_factory=list)  # dam, or the second part of a mixture
    weight: list[Fraction | None] = field(default_factory=list)  # of `first`; None: an animal
    of_row: list[int] = field(default_factory=list)

    def add(self, animal: Hashable, first: int, second: int, weight: Fraction | None = None) -> int:
        self.ids.append(animal)
        self.first.append(first)
        self.second.append(second)
        self.weight.append(weight)
        return len(self.ids) - 1

    def steps(self, node: int) -> list[tuple[int, Fraction, int]]:
        """Where a line goes from a node: (next node, weight, generations)."""
        weight = self.weight[node]
        if weight is None:
            return [(p, Fraction(1), 1) for p in (self.first[node], self.second[node]) if p >= 0]
        parts = [(self.first[node], weight, 0), (self.second[node], 1 - weight, 0)]
        return [part for part in parts if part[0] >= 0]

    @cached_property
    def _table(self) -> tuple[NDArray[np.float64], dict[int, int], list[float]]:
        """Relationships of all nodes that have young, and F of every node."""
        count = len(self.ids)
        used = sorted({p for p in (*self.first, *self.second) if p >= 0})
        column = {node: place for place, node in enumerate(used)}
        table = np.zeros((len(used) + 1, len(used) + 1))  # the last row and column: nobody
        nobody = len(used)
        inbreeding = [0.0] * count
        for node in range(count):
            first = column.get(self.first[node], nobody)
            second = column.get(self.second[node], nobody)
            weight = self.weight[node]
            if weight is None:
                inbreeding[node] = float(table[first, second]) / 2
                row, own = (table[first] + table[second]) / 2, 1 + inbreeding[node]
            else:
                part = float(weight)
                row = part * table[first] + (1 - part) * table[second]
                # An unknown remainder is a founder of its own, related to nobody.
                own = part * (table[first, first] if first != nobody else 1.0) + (1 - part) * (
                    table[second, second] if second != nobody else 1.0
                )
            place = column.get(node)
            if place is not None:
                table[place, :] = row
                table[:, place] = row
                table[place, place] = own
                table[nobody, :] = table[:, nobody] = 0.0
        return table, column, inbreeding

    @property
    def inbreeding(self) -> list[float]:
        return self._table[2]

    def _row(self, node: int) -> NDArray[np.float64]:
        """Relationships of a node without young to all nodes with young."""
        table, column, _ = self._table
        if node in column:
            row: NDArray[np.float64] = table[column[node]]
            return row
        nobody = len(table) - 1
        first = column.get(self.first[node], nobody)
        second = column.get(self.second[node], nobody)
        mean: NDArray[np.float64] = (table[first] + table[second]) / 2
        return mean

    def kinship(self, a: int, b: int) -> float:
        table, column, inbreeding = self._table
        if a == b:
            return float(1 + inbreeding[a]) / 2
        if b in column:
            return float(self._row(a)[column[b]]) / 2
        if a in column:
            return float(self._row(b)[column[a]]) / 2
        nobody = len(table) - 1
        row = self._row(a)
        parents = [column.get(p, nobody) for p in (self.first[b], self.second[b])]
        return float(row[parents].sum()) / 4

    def matrix(self, nodes: Sequence[int]) -> NDArray[np.float64]:
        table, column, inbreeding = self._table
        nobody = len(table) - 1
        places = np.array([column.get(node, nobody) for node in nodes], dtype=np.intp)
        if len(nodes) == 0:
            return np.zeros((0, 0))
        rows = np.array([self._row(node) for node in nodes])
        result = rows[:, places] / 2
        lone = [k for k, node in enumerate(nodes) if node not in column]
        for k in lone:
            parents = [column.get(p, nobody) for p in (self.first[nodes[k]], self.second[nodes[k]])]
            result[:, k] = rows[:, parents].sum(axis=1) / 4
        for k, node in enumerate(nodes):
            same = [j for j, other in enumerate(nodes) if other == node]
            result[k, same] = (1 + inbreeding[node]) / 2
        return result


def build_nodes(
    rows: Sequence[tuple[Hashable, Any, Any, Any]],
    order: Sequence[int],
    place: Mapping[Hashable, int],
) -> Nodes:
    """Nodes in an order with parents before young."""
    nodes = Nodes()
    nodes.of_row = [NOBODY] * len(rows)
    shared: dict[tuple[Any, ...], int] = {}

    def node_of(animal: Hashable | None) -> int:
        return NOBODY if animal is None else nodes.of_row[place[animal]]

    for number in order:
        animal, sire, dam, litter = rows[number]
        if isinstance(sire, Mapping) or (sire is None and litter is not None):
            candidates = tuple(sorted((sire or {}).items(), key=lambda item: place[item[0]]))
            key = (litter, dam, candidates) if litter is not None else (number,)
            if key not in shared:
                shared[key] = _sire_node(nodes, candidates, node_of, litter, number)
            first = shared[key]
        else:
            first = node_of(sire)
        nodes.of_row[number] = nodes.add(animal, first, node_of(dam))
    return nodes


def _sire_node(
    nodes: Nodes,
    candidates: Sequence[tuple[Hashable, Fraction]],
    node_of: Callable[[Hashable | None], int],
    litter: Hashable | None,
    number: int,
) -> int:
    """A phantom for a wholly unknown sire, else a chain of mixtures of the candidates."""
    total = sum((share for _, share in candidates), Fraction(0))
    parts = [(node_of(one), share) for one, share in candidates]
    if total < 1:
        mark = litter if litter is not None else number
        parts.append((nodes.add(Unrecorded(mark), NOBODY, NOBODY), 1 - total))
    node: int = parts[0][0]
    weight = parts[0][1]
    for other, share in parts[1:]:
        node = nodes.add(None, node, other, weight / (weight + share))
        weight += share
    return node
