"""Plans in which some of the pairs must be of a kind: the cheapest one, with its proof."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np

from pedigree.plans.flow import Bools, Network, improved
from pedigree.plans.solver import solved
from pedigree.rows import Floats, Ints

WHOLE = 1e-6  # a share of a pair that is this near to a whole number is one
WITHIN = 2.0**-30  # of the largest cost: within it a plan is proven to be the cheapest
MOST_NODES = 2_000  # branches; a plan that would take more is given without its proof


@dataclass(frozen=True)
class Wanted:
    """At least so many of the plan's pairs must be among these."""

    pairs: Bools  # (females, males)
    number: int
    name: Any = ""  # for messages

    def holds(self, chosen: Bools) -> bool:
        return int((chosen & self.pairs).sum()) >= self.number


def hold(chosen: Bools, wanted: Sequence[Wanted]) -> bool:
    """Whether all that is wanted is among these pairs."""
    return all(one.holds(chosen) for one in wanted)


@dataclass(frozen=True)
class _Programme:
    """The pairs that are free, each a number from 0 to 1, and what they have to keep to.

    Animals have room for so many litters, `number` pairs are chosen, and of each wanted kind at
    least what is still missing. Such a programme has corners that are no whole plans.
    """

    network: Network
    needs: tuple[tuple[Bools, int], ...]  # beside pairs that are set already
    number: int

    @cached_property
    def places(self) -> tuple[Ints, Ints]:
        row, column = np.nonzero(self.network.free)
        return row, column

    @cached_property
    def cost(self) -> Floats:
        """Brought to about 1 and 2^20: the solver's own tolerance is absolute."""
        found: Floats = self.network.cost[self.places] / self.scale
        return found

    @cached_property
    def scale(self) -> float:
        free = self.network.cost[self.network.free]
        return float(2.0**-20 * max(1.0, float(np.abs(free).max(initial=0))))

    @cached_property
    def slack(self) -> float:
        """Within so much a bound is met."""
        return WITHIN * max(1.0, float(np.abs(self.cost).max(initial=0)))

    @cached_property
    def at_most(self) -> tuple[Any, Floats]:
        """Rows and columns by their room, then what is wanted, turned around."""
        from scipy.sparse import csr_array

        row, column = self.places
        rows, columns = self.network.free.shape
        each = np.arange(len(row))
        kinds = [np.flatnonzero(pairs[self.places]) for pairs, _ in self.needs]
        places = [row, rows + column]
        places += [np.full(len(some), rows + columns + at) for at, some in enumerate(kinds)]
        value = np.concatenate([np.ones(2 * len(row)), *(-np.ones(len(some)) for some in kinds)])
        table = csr_array(
            (value, (np.concatenate(places), np.concatenate([each, each, *kinds]))),
            shape=(rows + columns + len(kinds), len(row)),
        )
        least = [-float(number) for _, number in self.needs]
        room = np.concatenate([self.network.female_room, self.network.male_room, least])
        return table, room

    def some(self) -> Floats | None:
        """A plan as good as the solver finds it, without a proof; None where there is none."""
        from scipy.optimize import Bounds, LinearConstraint, milp

        table, room = self.at_most
        size = len(self.cost)
        rules = [LinearConstraint(table, -np.inf, room)]
        rules.append(LinearConstraint(np.ones((1, size)), self.number, self.number))
        found = milp(self.cost, integrality=np.ones(size), bounds=Bounds(0, 1), constraints=rules)
        return None if found.x is None else np.rint(found.x)

    def chosen(self, shares: Floats) -> Bools:
        found = np.zeros(self.network.free.shape, np.bool_)
        found[self.places] = shares > 0.5
        return found


def cheapest(
    network: Network, wanted: Sequence[Wanted], number: int, required: Bools
) -> tuple[Bools, float] | None:
    """The cheapest choice of `number` free pairs that with the required ones holds all that is
    wanted, and a cost in the network that no such choice goes below; None where there is none.

    First without what is wanted: where it holds by itself, prices prove the plan. Else by
    branching on a pair that is in and out (Land & Doig 1960, Econometrica 28:497-520). The bound
    of every branch is reckoned here from the solver's prices and holds whatever they are: cost
    less prices, summed over what lowers it. So the proof does not rest on the solver; only that
    a branch holds no plan at all is taken from it. Where MOST_NODES branches were not enough, the
    bound lies below the cost.
    """
    proof = improved(network, solved(network, number))
    if hold(proof.residual.chosen | required, wanted):
        return proof.residual.chosen, proof.bound
    needs = tuple(
        (one.pairs, max(0, one.number - int((one.pairs & required).sum()))) for one in wanted
    )
    return _Search(_Programme(network, needs, number)).best()


class _Search:
    """Branches of a programme, the most hopeful first."""

    def __init__(self, programme: _Programme) -> None:
        self.programme = programme
        self.found: Floats | None = None
        self.cost = np.inf
        self.bound = np.inf  # of what was given up and of the best there is

    def best(self) -> tuple[Bools, float] | None:
        import heapq

        programme = self.programme
        size = len(programme.cost)
        ahead: list[tuple[float, int, Ints, Ints, Floats]] = []
        count = 0

        def look(low: Ints, high: Ints) -> None:
            nonlocal count
            node = self._bounded(low, high)
            if node is not None and node[0] < self.cost - programme.slack:
                count += 1
                heapq.heappush(ahead, (node[0], count, low, high, node[1]))
            elif node is not None:
                self.bound = min(self.bound, node[0])

        look(np.zeros(size, np.int64), np.ones(size, np.int64))
        while ahead:
            bound, _, low, high, shares = heapq.heappop(ahead)
            if count > MOST_NODES:
                self.bound = min(self.bound, bound)  # that of the most hopeful branch left
                self._take(programme.some())
                break
            if bound >= self.cost - programme.slack:
                self.bound = min(self.bound, bound)
                continue
            apart = np.abs(shares - np.rint(shares))
            if apart.max(initial=0) < WHOLE:
                self.bound = min(self.bound, bound)
                self._take(np.rint(shares))
                continue
            at = int(apart.argmax())
            one, other = high.copy(), low.copy()
            one[at], other[at] = 0, 1
            look(low, one)
            look(other, high)
        if self.found is None:
            return None
        chosen = programme.chosen(self.found)
        return chosen, min(self.bound, self.cost) * programme.scale

    def _take(self, shares: Floats | None) -> None:
        """Keep it if it is the best so far."""
        if shares is not None and (cost := float(self.programme.cost @ shares)) < self.cost:
            self.found, self.cost = shares, cost

    def _bounded(self, low: Ints, high: Ints) -> tuple[float, Floats] | None:
        """What no plan of this branch goes below, and shares of pairs; None: there is no plan."""
        from scipy.optimize import linprog

        programme = self.programme
        table, room = programme.at_most
        if not len(low):
            fits = programme.number == 0 and (room >= 0).all()
            return (0.0, np.empty(0)) if fits else None
        found = linprog(
            programme.cost,
            A_ub=table,
            b_ub=room,
            A_eq=np.ones((1, len(low))),
            b_eq=[float(programme.number)],
            bounds=np.column_stack([low, high]),
            method="highs-ds",
        )
        if found.status == 2:
            return None
        if found.x is None:
            raise RuntimeError(f"The solver gave up: {found.message}")
        prices = np.minimum(found.ineqlin.marginals, 0)
        each = float(found.eqlin.marginals[0])
        reduced = programme.cost - table.T @ prices - each
        least = np.where(reduced > 0, low, high) @ reduced
        return float(prices @ room + each * programme.number + least), found.x


def most_pairs(
    network: Network, needs: Sequence[tuple[Bools, int]], least: int, most: int | None = None
) -> int | None:
    """How many of the free pairs at most, at least `least` and at most `most`, with so many of
    each kind; None where that cannot be. Cost: some hundredths of a second for 200 x 60."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    if any(_of_kind(network, pairs) < number for pairs, number in needs):
        return None
    programme = _Programme(network, tuple(needs), 0)
    size = len(programme.cost)
    most = size if most is None else most
    if least > most or not size:
        return None if least > 0 else 0
    table, room = programme.at_most
    rules = [LinearConstraint(table, -np.inf, room)]
    rules.append(LinearConstraint(np.ones((1, size)), least, most))
    found = milp(-np.ones(size), integrality=np.ones(size), bounds=Bounds(0, 1), constraints=rules)
    return None if found.x is None else int(np.rint(found.x).sum())


def _of_kind(network: Network, pairs: Bools) -> int:
    """How many of these pairs there can be at most."""
    free = network.free & pairs
    return Network(network.cost, free, network.female_room, network.male_room).largest()[0]


@dataclass(frozen=True)
class WishedProof:
    """A plan that holds what is wanted, with its proof; what a change costs is asked one by one."""

    network: Network
    wanted: Sequence[Wanted]
    required: Bools
    chosen: Bools
    bound: float
    _changes: dict[tuple[int, int], tuple[Bools, float] | None] = field(default_factory=dict)

    @property
    def cost(self) -> float:
        return float(self.network.cost[self.chosen].sum())

    @property
    def is_met(self) -> bool:
        """Whether no plan costs less, to 2^-30 of the largest cost."""
        largest = float(np.abs(self.network.cost).max(initial=0))
        return self.cost - self.bound <= 4 * WITHIN * largest

    def changed(self, row: int, column: int) -> Bools | None:
        """The cheapest plan of this size with the pair the other way; None when there is none."""
        if not self.network.free[row, column]:
            return None
        if (row, column) not in self._changes:
            self._changes[row, column] = self._other(row, column)
        found = self._changes[row, column]
        return None if found is None else found[0]

    def _other(self, row: int, column: int) -> tuple[Bools, float] | None:
        network, required, number = self.network, self.required, int(self.chosen.sum())
        free = network.free.copy()
        free[row, column] = False
        of_female, of_male = network.female_room.copy(), network.male_room.copy()
        is_in = not self.chosen[row, column]
        if is_in:
            of_female[row] -= 1
            of_male[column] -= 1
            number -= 1
            required = required.copy()
            required[row, column] = True
        if min(of_female[row], of_male[column], number) < 0:
            return None
        left = Network(network.cost, free, of_female, of_male)
        if left.largest()[0] < number:
            return None
        found = cheapest(left, self.wanted, number, required)
        if found is None:
            return None
        chosen = found[0].copy()
        chosen[row, column] = is_in
        return chosen, found[1]

    def change_of(self, row: int, column: int) -> float:
        """What the cheapest plan of this size costs more with the pair the other way."""
        other = self.changed(row, column)
        return np.inf if other is None else float(self.network.cost[other].sum()) - self.cost

    @property
    def change(self) -> Floats:
        """The same of all pairs: (females, males). Cost: a plan for each."""
        found = np.full(self.chosen.shape, np.inf)
        for row, column in np.argwhere(self.network.free).tolist():
            found[row, column] = self.change_of(row, column)
        return found

    def least_change(self) -> tuple[int, int, float] | None:
        """The pair of the plan that is easiest to do without: any other plan lacks one of them."""
        pairs = np.argwhere(self.chosen).tolist()
        found = [(self.change_of(row, column), row, column) for row, column in pairs]
        if not found:
            return None
        change, row, column = min(found)
        return row, column, change
