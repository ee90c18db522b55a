"""Kinship of those who became parents, kept while young are added to a pedigree."""

import threading

import numpy as np

from pedigree.kinship.matrices import Descent, Scale, Square
from pedigree.kinship.tabular import LARGEST_SQUARE
from pedigree.layout import Layout
from pedigree.rows import UNKNOWN, Floats, Ints

_SCALE = Scale(None, "float")


class Growing:
    """A table of parents and all they stem from, which others join when they become parents.

    F of young is the kinship of their parents, so one who has no young yet need not be in it. It
    is handed from a pedigree to the longer ones made of it, and asked by any of them: of two that
    were made longer in different ways, the second finds that nodes in it have other parents, and
    begins it anew.

    Source: Emik & Terrill 1949, J. Hered. 40:51-55.
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._table: _Parents | None = None  # most pedigrees never grow

    def between_parents(self, layout: Layout, old: int) -> Floats | None:
        """Kinship of the two that each node from number `old` on stems from: (nodes - old,).

        None when they stem from mixtures, or from more than fit into a table in the processor's
        cache. Cost: for each one that joins, the number of those in the table.
        """
        first, second = layout.first[old:], layout.second[old:]
        with self._lock:
            if self._table is None or not self._table.is_of(layout):
                self._table = _Parents()
            if self._table.join(layout, np.concatenate([first, second]).tolist()):
                return self._table.between(first, second)
        return None


class _Parents:
    """The table, and whose young those in it are."""

    def __init__(self) -> None:
        self._square = Square(LARGEST_SQUARE, _SCALE)
        self._place = {UNKNOWN: 0}
        self._nodes = self._first = self._second = np.empty(0, np.int64)

    def is_of(self, layout: Layout) -> bool:
        """Whether all in the table have the same parents there."""
        nodes = self._nodes
        return bool(
            nodes.max(initial=UNKNOWN) < layout.size
            and np.array_equal(layout.first[nodes], self._first)
            and np.array_equal(layout.second[nodes], self._second)
        )

    def between(self, first: Ints, second: Ints) -> Floats:
        """Kinship of nodes that are there, one by one."""
        found: Floats = self._square.pairs(self._places(first), self._places(second))
        return found

    def join(self, layout: Layout, todo: list[int]) -> bool:
        """These and all they stem from, unless there is no room or one is a mixture."""
        more: set[int] = set()
        room = LARGEST_SQUARE - len(self._nodes)
        while todo:
            node = todo.pop()
            if node in self._place or node in more:
                continue
            if len(more) == room or layout.is_mixture[node]:
                return False
            more.add(node)
            todo += (int(layout.first[node]), int(layout.second[node]))
        nodes = np.array(sorted(more), np.int64)
        level = layout.level[nodes]
        for one in np.unique(level):
            self._enter(layout, nodes[level == one])
        return True

    def _enter(self, layout: Layout, nodes: Ints) -> None:
        """Nodes of one level, whose parents are there."""
        first, second = layout.first[nodes], layout.second[nodes]
        itself = (1 + self.between(first, second)) / 2
        stands = np.array([[self._places(first), self._places(second)]])
        places = self._square.enter(Descent(stands, None, _SCALE), itself)
        self._place.update(zip(nodes.tolist(), places.tolist(), strict=True))
        self._nodes = np.append(self._nodes, nodes)
        self._first = np.append(self._first, first)
        self._second = np.append(self._second, second)

    def _places(self, nodes: Ints) -> Ints:
        return np.array([self._place[node] for node in nodes.tolist()], np.int64)
