"""Who with whom for a season: the best allocation of males to females, with its proof."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from pedigree.errors import LineageError
from pedigree.plans.collisions import can_be, largest, network, no_plan
from pedigree.plans.flow import Bools, Network, Proof, improved
from pedigree.plans.rules import Rules, read_rules
from pedigree.plans.solver import solved
from pedigree.plans.wished import WishedProof, cheapest
from pedigree.rows import Floats

Pairs = tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Allocation:
    """Some pairs, with the sum of F and of cost over them."""

    pairs: Pairs
    total: float
    cost: float


@dataclass(frozen=True)
class Choice:
    """Why a female got this male."""

    female: int
    male: int
    inbreeding: float  # of their young
    change: float  # what the plan costs more when this pair must not be; inf: there is no other
    required: bool
    lowest: int  # the allowed male of lowest cost for her; may be `male`
    lowest_change: float  # what the plan costs more when he must be hers; 0 when he is


@dataclass(frozen=True)
class Plan:
    """The best allocation. Rows are females, columns are males, counted from 0."""

    rules: Rules
    _proof: Proof | WishedProof
    _unit: float  # cost in the network per unit of cost given

    @cached_property
    def pairs(self) -> Pairs:
        """The pairs, by female and then male."""
        return _pairs(self._proof.chosen | self.rules.required)

    @cached_property
    def total(self) -> float:
        """Sum of F over the pairs."""
        return _sum(self.rules.inbreeding, self.pairs)

    @cached_property
    def cost(self) -> float:
        """Sum of cost over the pairs: what was made least; `total` unless a cost was given."""
        return _sum(self.rules.cost, self.pairs)

    @property
    def mean(self) -> float:
        """Mean F of the pairs; 0 for none."""
        return self.total / len(self.pairs) if self.pairs else 0.0

    @cached_property
    def proven(self) -> bool:
        """Whether no plan with as many pairs can cost less: prices give a bound that it meets.

        Checked after the solver and not taken from it, to 2^-40 of the largest cost; where some
        pairs are wanted, to 2^-30.
        """
        return self._proof.is_met

    @cached_property
    def change(self) -> Floats:
        """(females, males): what the best plan with as many pairs costs more the other way.

        For a pair outside the plan: if it must be in it; for a pair in it: if it must not be.
        inf where there is no such plan, and for required pairs. Cost: (females + males)^3; where
        some pairs are wanted, a plan for each.
        """
        change = self._proof.change / self._unit
        change[self.rules.required] = np.inf
        return change

    @cached_property
    def second_best(self) -> Allocation | None:
        """The cheapest plan of as many pairs that is not this one; None when there is no other."""
        found = self._proof.least_change() if self.pairs else None
        return None if found is None else self.instead(found[0], found[1])

    @property
    def second_best_behind(self) -> float:
        """How much more the second best plan costs: 0 when the best is not the only one, inf when
        there is no other."""
        found = self._proof.least_change() if self.pairs else None
        return math.inf if found is None else found[2] / self._unit

    def change_of(self, female: int, male: int) -> float:
        """What the best plan with as many pairs costs more with this pair the other way."""
        if self.rules.required[female, male]:
            return math.inf
        return self._proof.change_of(female, male) / self._unit

    def instead(self, female: int, male: int) -> Allocation | None:
        """The best plan of as many pairs with this pair the other way: in it if it is not, not in
        it if it is. None when there is none. Shows who else would have to change."""
        if not (0 <= female < len(self.rules.females) and 0 <= male < len(self.rules.males)):
            raise LineageError(f"There is no row {female} with column {male} in this plan.")
        if self.rules.required[female, male]:
            return None
        chosen = self._proof.changed(female, male)
        return None if chosen is None else _allocation(self.rules, chosen | self.rules.required)

    @cached_property
    def lowest_first(self) -> Allocation:
        """What taking the pair of lowest cost first, again and again, comes to.

        Ties by row, then column; required pairs first, then wanted ones until there are enough of
        them. It may find fewer pairs than the plan: compare `len(pairs)` before `cost`.
        """
        rules = self.rules
        chosen = rules.required.copy()
        left = network(rules, rules.given)
        if left is None:  # a plan exists, so the required pairs can be
            raise AssertionError
        female_room, male_room = left.female_room.copy(), left.male_room.copy()
        open_pairs = np.argwhere(left.free)
        order = np.argsort(rules.cost[left.free], kind="stable")
        count = int(chosen.sum())
        for wanted in (*rules.wanted, None):
            for row, column in open_pairs[order].tolist():
                if count == len(self.pairs) or (wanted is not None and wanted.holds(chosen)):
                    break
                if chosen[row, column] or (wanted is not None and not wanted.pairs[row, column]):
                    continue
                if female_room[row] and male_room[column]:
                    chosen[row, column] = True
                    female_room[row] -= 1
                    male_room[column] -= 1
                    count += 1
        return _allocation(rules, chosen)

    @cached_property
    def reasons(self) -> tuple[Choice, ...]:
        """For every pair why it is so: in the order of `pairs`."""
        allowed = self.rules.allowed(self.rules.given) | self.rules.required
        cost = np.where(allowed, self.rules.cost, np.inf)
        in_plan = set(self.pairs)
        reasons = []
        for row, column in self.pairs:
            lowest = column
            if cost[row].min() < cost[row, column]:
                lowest = int(cost[row].argmin())
            behind = 0.0 if (row, lowest) in in_plan else self.change_of(row, lowest)
            reasons.append(
                Choice(
                    row,
                    column,
                    float(self.rules.inbreeding[row, column]),
                    self.change_of(row, column),
                    bool(self.rules.required[row, column]),
                    lowest,
                    behind,
                )
            )
        return tuple(reasons)


def plan_pairings(
    inbreeding: Any,
    *,
    per_female: int | Sequence[int] | None = 1,
    per_male: int | Sequence[int] | None = None,
    forbidden: Any = None,
    most: float | None = None,
    litters: int | None = None,
    required: Any = None,
    cost: Any = None,
    females: Sequence[Any] | None = None,
    males: Sequence[Any] | None = None,
    wanted: Sequence[Any] = (),
) -> Plan:
    """The pairings of a season with the least sum of F: `.pairs`, `.total`, `.proven`.

    `inbreeding` (females, males): expected F of the young, 0 to 1. `per_female`, `per_male`: most
    litters of each, one number or one a row or column; None: no bound. `forbidden`, `required`:
    boolean tables of the same shape, or lists of (row, column), of pairs that must not or must be.
    `most`: the largest F allowed, 0 to 1. `litters`: how many pairings in all; None: as many as
    possible. `cost` (females, males), any finite numbers: made least instead of F, see
    `slider_cost`. `females`, `males`: names for messages. A pair is planned once at most. `wanted`:
    pairs of which so many must be, each a boolean table of the same shape with a number, as of
    pairs whose young show a trait; "as many as possible" is then said of plans that hold them.

    The answer is the best there is, proven: see `Plan.proven`. Of equally good plans one is given,
    always the same; `second_best_behind` is 0 then. `Plan.lowest_first`, `.second_best`, `.change`
    and `.reasons` say what other choices would cost.

    Raises NoPlan, which names the rules that collide and the ways out; also when `litters` is None
    and no pair at all is possible. Raises LineageError for a value that cannot be. Cost: 0.1 to
    0.5 s for 200 females by 60 males; with wanted pairs see `pedigree/plans/wished.py`.

    Source: a transportation problem, Hitchcock 1941, J. Math. Phys. 20:224-230; solved by HiGHS
    (Huangfu & Hall 2018, Math. Program. Comput. 10:119-142) through scipy.

    >>> plan = plan_pairings([[0.0, 0.0625], [0.0625, 0.25]], per_male=1)
    >>> plan.pairs, plan.total, plan.proven
    (((0, 1), (1, 0)), 0.125, True)
    >>> plan.lowest_first.total
    0.25
    """
    rules = read_rules(
        inbreeding,
        per_female=per_female,
        per_male=per_male,
        forbidden=forbidden,
        most=most,
        litters=litters,
        required=required,
        cost=cost,
        females=females,
        males=males,
        wanted=wanted,
    )
    left = network(rules, rules.given)
    if left is None or not can_be(rules, rules.given):
        raise no_plan(rules)
    number = largest(rules, rules.given) if rules.litters is None else rules.litters
    unit = _unit(rules, number)
    priced = Network(np.rint(rules.cost * unit), left.free, left.female_room, left.male_room)
    number -= int(rules.required.sum())
    if not any(of_kind for _, of_kind in rules.needs(rules.given)):
        return Plan(rules, improved(priced, solved(priced, number)), unit)
    found = cheapest(priced, rules.wanted, number, rules.required)
    if found is None:  # `can_be` has found one
        raise AssertionError
    return Plan(rules, WishedProof(priced, rules.wanted, rules.required, *found), unit)


def _unit(rules: Rules, wanted: int) -> float:
    """A power of two that makes costs whole numbers with sums below 2^53."""
    largest = float(np.abs(rules.cost).max(initial=0))
    if not largest:
        return 1.0
    terms = wanted + sum(rules.cost.shape) + rules.cost.size
    return 2.0 ** (min(40, 52 - terms.bit_length()) - math.frexp(largest)[1])


def _pairs(chosen: Bools) -> Pairs:
    return tuple((row, column) for row, column in np.argwhere(chosen).tolist())


def _sum(table: Floats, pairs: Pairs) -> float:
    return math.fsum(float(table[pair]) for pair in pairs)


def _allocation(rules: Rules, chosen: Bools) -> Allocation:
    pairs = _pairs(chosen)
    return Allocation(pairs, _sum(rules.inbreeding, pairs), _sum(rules.cost, pairs))
