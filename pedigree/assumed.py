"""Founders that are held to be siblings though nobody saw their parents: kinship as a belief."""

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import Any

import numpy as np

from pedigree.errors import LineageError, UnknownAnimal
from pedigree.rows import UNKNOWN, Read, exact

Assumed = Sequence[tuple[Any, Any, Fraction]]  # two founders, and their kinship of at most 1/4
FULL, HALF_SIBLINGS = Fraction(1, 4), Fraction(1, 8)  # kinship, for certain and not inbred

# Members of a group in an order: row, what of each earlier member's parent is in its own, and the
# later members that may share what is its own.
Sharing = Sequence[tuple[int, Sequence[Fraction], Sequence[int]]]


def implied_kin(pairs: Iterable[tuple[Any, Any, Fraction]]) -> dict[frozenset[Any], Fraction]:
    """Kinship of all pairs of founders, also of those that follow from what is said of others.

    A pair that is given stays as it is given, a 0 too. Of one that is not, what the likeliest
    chain of others makes of it, each link by itself: two full siblings of a third are that too.

    >>> found = implied_kin([("A", "B", FULL), ("B", "C", HALF_SIBLINGS)])
    >>> found[frozenset("AC")]
    Fraction(1, 8)
    """
    given = {frozenset((one, other)): kinship for one, other, kinship in pairs}
    shared = {pair: kinship / FULL for pair, kinship in given.items() if kinship}
    members = list(dict.fromkeys(one for pair in given for one in sorted(pair, key=str)))
    for between in members:
        beside = [one for one in members if frozenset((one, between)) in shared]
        for at, one in enumerate(beside):
            for other in beside[at + 1 :]:
                pair = frozenset((one, other))
                by_way = shared[frozenset((one, between))] * shared[frozenset((between, other))]
                if pair not in given:
                    shared[pair] = max(shared.get(pair, Fraction(0)), by_way)
    return {pair: part * FULL for pair, part in shared.items()}


def contradicting_kin(pairs: Iterable[tuple[Any, Any, Fraction]]) -> tuple[Any, Any, Any] | None:
    """Three founders of whom what is assumed cannot all be, where there are such.

    Of three, the chances that two share a parent cannot be arbitrary: where A shares it with B
    and B with C, A shares it with C. So each two of the three add to at most 1 and the third.

    >>> contradicting_kin([("A", "B", FULL), ("B", "C", FULL), ("A", "C", Fraction(0))])
    ('A', 'B', 'C')
    """
    listed = list(pairs)
    shared = {pair: kinship / FULL for pair, kinship in implied_kin(listed).items()}
    members = sorted({one for pair in shared for one in pair}, key=str)
    for between in members:
        beside = [one for one in members if frozenset((one, between)) in shared]
        for at, one in enumerate(beside):
            for other in beside[at + 1 :]:
                least = shared[frozenset((one, between))] + shared[frozenset((between, other))] - 1
                if shared.get(frozenset((one, other)), 0) < least:
                    return one, between, other
    return None


def kin_can_be(pairs: Iterable[tuple[Any, Any, Fraction]]) -> bool:
    """Whether there can be animals with these kinships: no gene of theirs has a variance below 0.

    >>> kin_can_be([("A", "B", FULL)])
    True
    """
    shared = {pair: float(kinship / FULL) for pair, kinship in implied_kin(pairs).items()}
    members = list({one for pair in shared for one in pair})
    table = np.eye(len(members))
    for i, one in enumerate(members):
        for j, other in enumerate(members[:i]):
            table[i, j] = table[j, i] = shared.get(frozenset((one, other)), 0.0)
    return not len(members) or bool(np.linalg.eigvalsh(table)[0] > -1e-9)


def groups_of(given: Read, assumed: Assumed) -> list[Sharing]:
    """The founders that are kin by what is assumed, each group in an order in which it can be.

    Two with kinship k share each parent with the chance 4 k; so each group's sires (and dams) are
    mixtures of one another that have exactly these chances. Raises LineageError for a kinship
    that is not from 0 to 1/4, and for an animal whose parents are known; UnknownAnimal.
    """
    shared: dict[frozenset[int], Fraction] = {}
    for one, other, kinship in assumed:
        rows = frozenset(_founder(given, key) for key in (one, other))
        if not 0 <= exact(kinship) <= FULL or len(rows) < 2:
            raise LineageError(f"Kinship assumed of two is from 0 to 1/4, not {kinship}.")
        if kinship:
            shared[rows] = exact(kinship) / FULL
    return [_in_order(members, shared) for members in _connected(shared)]


def _founder(given: Read, key: Any) -> int:
    row = given.row_of.get(key)
    if row is None:
        raise UnknownAnimal(key)
    if given.sire[row] != UNKNOWN or given.dam[row] != UNKNOWN or row in given.beliefs:
        raise LineageError(f"{key} has a known parent; kinship is assumed of founders alone.")
    if row in given.litter:
        raise LineageError(f"{key} is of a litter; its kin is known by that.")
    return row


def _connected(shared: Mapping[frozenset[int], Fraction]) -> list[list[int]]:
    group: dict[int, list[int]] = {}
    for pair in shared:
        one, other = sorted(pair)
        joined = group.get(one, [one]), group.get(other, [other])
        if joined[0] is not joined[1]:
            both = joined[0] + joined[1]
            group.update(dict.fromkeys(both, both))
    return [sorted(members) for members in {id(one): one for one in group.values()}.values()]


def _in_order(members: list[int], shared: Mapping[frozenset[int], Fraction]) -> Sharing:
    """An order in which no weight is below 0, where one of these is such; else as they come."""
    total = {one: sum(part for pair, part in shared.items() if one in pair) for one in members}
    orders = (
        members,
        sorted(members, key=lambda one: total[one]),
        sorted(members, key=lambda one: -total[one]),
    )
    for order in orders:
        found = _weighed(order, shared)
        if all(weight >= 0 for _, weights, _ in found for weight in weights):
            return found
    return _weighed(members, shared)


def _weighed(order: list[int], shared: Mapping[frozenset[int], Fraction]) -> Sharing:
    return [
        (
            one,
            _weights(order[:at], one, shared),
            [later for later in order[at + 1 :] if frozenset((one, later)) in shared],
        )
        for at, one in enumerate(order)
    ]


def _weights(
    before: list[int], one: int, shared: Mapping[frozenset[int], Fraction]
) -> list[Fraction]:
    """How much of each earlier member's parent makes the chances right: linear equations, solved.

    One that surely shares the parent of an earlier member has that.
    """
    chance = [shared.get(frozenset((one, other)), Fraction(0)) for other in before]
    if Fraction(1) in chance:
        return [Fraction(int(at == chance.index(Fraction(1)))) for at in range(len(before))]
    apart: list[int] = []
    for at, other in enumerate(before):
        if all(shared.get(frozenset((other, before[k])), 0) != 1 for k in apart):
            apart.append(at)
    table = [
        [
            Fraction(1) if i == k else shared.get(frozenset((before[i], before[k])), Fraction(0))
            for k in apart
        ]
        + [chance[i]]
        for i in apart
    ]
    found = [Fraction(0)] * len(before)
    for at, value in zip(apart, _solved(table), strict=True):
        found[at] = value
    return found


def _solved(table: list[list[Fraction]]) -> list[Fraction]:
    """Linear equations, the right side last in each row, in exact fractions."""
    size = len(table)
    for at in range(size):
        pivot = next((row for row in range(at, size) if table[row][at]), None)
        if pivot is None:
            raise LineageError("What is assumed of these founders cannot all be.")
        table[at], table[pivot] = table[pivot], table[at]
        table[at] = [value / table[at][at] for value in table[at]]
        for row in range(size):
            if row != at and (factor := table[row][at]):
                table[row] = [
                    value - factor * above
                    for value, above in zip(table[row], table[at], strict=True)
                ]
    return [row[-1] for row in table]
