"""The plan of pairings as a flow: how many there can be, what a change costs, and the proof."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from pedigree.rows import Floats, Ints

Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Network:
    """Litters flow from a source through the females, along pairs, through the males to a sink.

    Every pair carries at most one litter, every animal as many as it has room for. Such a network
    has whole-numbered corners, so linear programming finds whole plans, and a plan is the cheapest
    of its size exactly when no ring of changes makes it cheaper (Klein 1967, Manage. Sci.
    14:205-220). Costs are whole numbers held in float64, so all sums are exact.
    """

    cost: Floats  # (females, males), whole numbers up to 2^40
    free: Bools  # pairs that may be chosen or not
    female_room: Ints
    male_room: Ints

    def largest(self) -> tuple[int, Bools]:
        """How many pairs at most, and such a choice. Cost: well under a second for 200 x 60."""
        from scipy.sparse import csr_array
        from scipy.sparse.csgraph import maximum_flow

        size, chosen, is_largest = self._filled()
        if is_largest:
            return size, chosen
        rows, columns = self.free.shape
        source, sink = rows + columns, rows + columns + 1
        row, column = np.nonzero(self.free)
        start = np.concatenate([np.full(rows, source), row, rows + np.arange(columns)])
        end = np.concatenate([np.arange(rows), rows + column, np.full(columns, sink)])
        room = np.concatenate([self.female_room, np.ones(len(row), np.int64), self.male_room])
        graph = csr_array((room.astype(np.int32), (start, end)), shape=(sink + 1, sink + 1))
        found = maximum_flow(graph, source, sink)
        flow = found.flow.tocsr()[:rows, rows : rows + columns].toarray()
        return int(found.flow_value), flow > 0

    def _filled(self) -> tuple[int, Bools, bool]:
        """A large choice row by row, and whether it fills one side, so that none is larger."""
        chosen = np.zeros(self.free.shape, np.bool_)
        left = self.male_room.copy()
        options = self.free.sum(axis=1)
        for row in np.argsort(options, kind="stable").tolist():
            room = int(min(self.female_room[row], options[row]))
            if room == 1:
                one = int(np.where(self.free[row], left, -1).argmax())
                if left[one] > 0:
                    chosen[row, one] = True
                    left[one] -= 1
            elif room:
                order = np.argsort(np.where(self.free[row], -left, 1), kind="stable")[:room]
                taken = order[left[order] > 0]
                chosen[row, taken] = True
                left[taken] -= 1
        of_females = np.minimum(self.female_room, options).sum()
        of_males = np.minimum(self.male_room, self.free.sum(axis=0)).sum()
        size = int(chosen.sum())
        return size, chosen, size == min(of_females, of_males)

    def bottleneck(self, chosen: Bools) -> tuple[Ints, Ints]:
        """Females and males whose room keeps the largest choice from being larger.

        Together with the pairs between the other females and the other males they add up to the
        size of the choice (Ford & Fulkerson 1956, Can. J. Math. 8:399-404).
        """
        rows = len(self.free)
        reached = Residual(self, chosen).reached_from_source()
        return np.flatnonzero(~reached[:rows]), np.flatnonzero(reached[rows:-2])


class Residual:
    """What may still change in a plan: arcs to add a pair, to drop one, to shift room."""

    def __init__(self, network: Network, chosen: Bools) -> None:
        self.network, self.chosen = network, chosen
        rows, columns = chosen.shape
        source, sink = rows + columns, rows + columns + 1
        arcs = np.full((sink + 1, sink + 1), np.inf)
        open_pairs = network.free & ~chosen
        arcs[:rows, rows:source][open_pairs] = network.cost[open_pairs]
        arcs[rows:source, :rows][chosen.T] = -network.cost.T[chosen.T]
        of_female, of_male = chosen.sum(axis=1), chosen.sum(axis=0)
        arcs[source, :rows][of_female < network.female_room] = 0
        arcs[:rows, source][of_female > 0] = 0
        arcs[rows:source, sink][of_male < network.male_room] = 0
        arcs[sink, rows:source][of_male > 0] = 0
        self.arcs = arcs

    def reached_from_source(self) -> Bools:
        """Which nodes can still get more flow."""
        reached = np.zeros(len(self.arcs), np.bool_)
        reached[-2] = True
        while True:
            more = reached | np.isfinite(self.arcs[reached]).any(axis=0)
            if (more == reached).all():
                return reached
            reached = more

    def prices(self) -> Floats | list[int]:
        """A price for each node that no arc undercuts, or a ring of nodes that saves cost.

        Source: Bellman 1958, Q. Appl. Math. 16:87-90. Cost: nodes^2 a round, few rounds.
        """
        size = len(self.arcs)
        price = np.zeros(size)
        before = np.full(size, -1)
        everyone = np.arange(size)
        for _ in range(size + 1):
            offered = price[:, None] + self.arcs
            best = offered.argmin(axis=0)
            cheaper = offered[best, everyone] < price
            if not cheaper.any():
                return price
            price[cheaper] = offered[best, everyone][cheaper]
            before[cheaper] = best[cheaper]
        at = int(np.flatnonzero(cheaper)[0])
        for _ in range(size):
            at = int(before[at])
        ring = [at]
        while (at := int(before[at])) not in ring:
            ring.append(at)
        return ring[::-1]

    def along(self, nodes: list[int]) -> Bools:
        """The plan after the changes along a ring of nodes (the last leads to the first)."""
        rows, columns = self.chosen.shape
        changed = self.chosen.copy()
        for here, there in zip(nodes, [*nodes[1:], nodes[0]], strict=True):
            if here < rows and rows <= there < rows + columns:
                changed[here, there - rows] = True
            elif there < rows and rows <= here < rows + columns:
                changed[there, here - rows] = False
        return changed


def improved(network: Network, chosen: Bools) -> "Proof":
    """The cheapest plan of the same size, with its proof: rings that save cost are taken.

    From a solver's plan no ring is expected; from any other plan it still ends at the cheapest.
    """
    while True:
        residual = Residual(network, chosen)
        found = residual.prices()
        if not isinstance(found, list):
            return Proof(residual, found)
        chosen = residual.along(found)


@dataclass(frozen=True)
class Proof:
    """Prices that show a plan to be the cheapest of its size, and what every change would cost."""

    residual: Residual
    price: Floats  # (nodes,)

    @cached_property
    def bound(self) -> float:
        """No plan of this size costs less: a sum any reader can check from the prices.

        Whatever the prices, a plan's cost is the sum of its arcs' reduced costs and the price
        between source and sink for each litter; leaving out what is positive can only lower it.
        """
        network, price = self.residual.network, self.price
        rows, _ = network.free.shape
        female, male, source, sink = price[:rows], price[rows:-2], price[-2], price[-1]
        pairs = np.where(network.free, network.cost + female[:, None] - male, 0)
        litters = int(self.residual.chosen.sum())
        return float(
            np.minimum(pairs, 0).sum()
            + network.female_room @ np.minimum(source - female, 0)
            + network.male_room @ np.minimum(male - sink, 0)
            + litters * (sink - source)
        )

    @cached_property
    def cost(self) -> float:
        return float(self.residual.network.cost[self.residual.chosen].sum())

    @property
    def chosen(self) -> Bools:
        return self.residual.chosen

    @property
    def is_met(self) -> bool:
        """Whether no plan of this size costs less."""
        return self.bound == self.cost

    def change_of(self, row: int, column: int) -> float:
        """What the cheapest plan of this size costs more with the pair the other way."""
        return float(self.change[row, column])

    def least_change(self) -> tuple[int, int, float] | None:
        """The pair that costs least to have the other way; None where there is no pair."""
        if not self.change.size:
            return None
        row, column = np.unravel_index(int(self.change.argmin()), self.change.shape)
        return int(row), int(column), float(self.change[row, column])

    @cached_property
    def _arcs(self) -> Floats:
        """Reduced costs, none negative."""
        return self.residual.arcs + self.price[:, None] - self.price

    @cached_property
    def change(self) -> Floats:
        """(females, males): what the cheapest plan costs more if a pair outside it must be in it,
        or a pair in it must not be; infinite where no plan of this size does so.

        Every other plan differs from this one by rings of changes that cost 0 or more each, so the
        cheapest ring through the pair is the answer. All shortest ways between nodes: Floyd 1962,
        Commun. ACM 5:345. Cost: nodes^3, 0.1 s for 200 x 60.
        """
        way = self._arcs.copy()
        through = np.empty_like(way)
        for middle in range(len(way)):
            np.add(way[:, middle, None], way[middle], out=through)
            np.minimum(way, through, out=way)
        rows = len(self.residual.chosen)
        there, back = self._arcs[:rows, rows:-2], self._arcs[rows:-2, :rows].T
        home, out = way[rows:-2, :rows].T, way[:rows, rows:-2]
        # A pair's two arcs are never both open, so the way back does not undo the step.
        added = there + home
        return np.where(self.residual.chosen, back + out, added)

    def changed(self, row: int, column: int) -> Bools | None:
        """The cheapest plan of this size with the pair the other way; None when there is none."""
        rows = len(self.residual.chosen)
        start, goal = row, rows + column
        if self.residual.chosen[row, column]:
            start, goal = goal, start
        if not np.isfinite(self._arcs[start, goal]):
            return None
        way = self._shortest(goal, start)
        return None if way is None else self.residual.along(way)

    def _shortest(self, start: int, goal: int) -> list[int] | None:
        """Nodes of the cheapest way (Dijkstra 1959, Numer. Math. 1:269-271)."""
        size = len(self._arcs)
        cost = np.full(size, np.inf)
        cost[start] = 0
        before = np.full(size, -1)
        ahead = np.ones(size, np.bool_)
        while True:
            here = int(np.where(ahead, cost, np.inf).argmin())
            if not np.isfinite(cost[here]) or not ahead[here]:
                return None
            if here == goal:
                return list(_back(before, goal))[::-1]
            ahead[here] = False
            offered = cost[here] + self._arcs[here]
            cheaper = ahead & (offered < cost)
            cost[cheaper] = offered[cheaper]
            before[cheaper] = here


def _back(before: Ints, at: int) -> Iterator[int]:
    while at >= 0:
        yield at
        at = int(before[at])
