"""Why an animal is inbred: Wright's paths through each common ancestor, exactly."""

import heapq
from collections.abc import Hashable, Iterator
from dataclasses import dataclass, field
from fractions import Fraction

from pedigree.lineage import Pedigree
from pedigree.nodes import Nodes

Steps = tuple[int, int]


@dataclass(frozen=True)
class CommonAncestor:
    """One animal at which lines from the sire and from the dam first meet.

    `paths` maps (steps on the sire's side, steps on the dam's side) to the number of pairs of
    lines of these lengths that meet in this animal and nowhere before. `contribution` is its part
    of F; where a sire on the way is uncertain, each line counts with his share.
    """

    id: Hashable
    inbreeding: Fraction
    contribution: Fraction
    paths: dict[Steps, int]


@dataclass(frozen=True)
class Explanation:
    """F of the young of two animals with its reasons, largest contribution first."""

    inbreeding: Fraction
    ancestors: tuple[CommonAncestor, ...]
    remainder: Fraction
    _nodes: Nodes = field(repr=False)
    _ends: tuple[int, int] = field(repr=False)

    @property
    def path_count(self) -> int:
        return sum(sum(one.paths.values()) for one in self.ancestors)

    def walk(self, limit: int) -> Iterator[tuple[Hashable, ...]]:
        """Up to `limit` explicit paths, shortest first: ids from the sire up and down to the dam.

        Cost: grows with the number of line pairs no longer than those asked for.
        """
        given = 0
        number = 0
        nodes = self._nodes
        ahead: list[tuple[int, int, tuple[int, ...], tuple[int, ...]]] = [
            (0, number, (self._ends[0],), (self._ends[1],))
        ]
        while ahead and given < limit:
            length, _, up, down = heapq.heappop(ahead)
            a, b = up[-1], down[-1]
            if a == b and nodes.weight[a] is None:
                line = [*up, *reversed(down[:-1])]
                yield tuple(nodes.ids[node] for node in line if nodes.weight[node] is None)
                given += 1
                continue
            for next_a, next_b, _, steps_a, steps_b in _expand(nodes, a, b):
                number += 1
                heapq.heappush(
                    ahead,
                    (
                        length + steps_a + steps_b,
                        number,
                        up if next_a == a else (*up, next_a),
                        down if next_b == b else (*down, next_b),
                    ),
                )


def explain(
    pedigree: Pedigree, sire: Hashable, dam: Hashable, longest: int | None = None
) -> Explanation:
    """F of the young of `sire` and `dam`, split by the common ancestors it comes through.

    F = sum over common ancestors A of (pairs of lines that first meet in A, by their lengths) x
    (1/2)^(n_sire + n_dam + 1) x (1 + F_A), in exact fractions. With `longest`, lines with
    n_sire + n_dam above it go into `remainder`. Raises UnknownAnimal.

    Two lines step back in time, the younger of the two first (younger: later in an order with
    parents before young), so they meet in A exactly when they share nothing before A; each pair
    of animals is expanded once and carries its counts by length. Cost: polynomial in the number
    of ancestors, however many paths there are.

    Source: Wright 1922, Am. Nat. 56:330-338.

    >>> ped = Pedigree.from_rows([("G", None, None), ("S", "G", None), ("D", "G", None)])
    >>> found = explain(ped, "S", "D")
    >>> found.inbreeding, found.ancestors[0].id, found.ancestors[0].paths
    (Fraction(1, 8), 'G', {(1, 1): 1})
    """
    nodes = pedigree._nodes
    start = (nodes.of_row[pedigree._index(sire)], nodes.of_row[pedigree._index(dam)])
    tables: dict[tuple[int, int], dict[Steps, tuple[int, Fraction]]] = {}
    tables[start] = {(0, 0): (1, Fraction(1))}
    ahead = [(-max(start), start)]
    exact = _ExactKinship(nodes)
    found: list[CommonAncestor] = []
    total = remainder = Fraction(0)
    while ahead:
        _, pair = heapq.heappop(ahead)
        table = tables.pop(pair)
        a, b = pair
        if a == b and nodes.weight[a] is None:
            own = exact.inbreeding(a)
            parts = {
                steps: weight * Fraction(1, 2 ** (sum(steps) + 1)) * (1 + own)
                for steps, (_, weight) in table.items()
            }
            total += sum(parts.values(), Fraction(0))
            short = {s: part for s, part in parts.items() if longest is None or sum(s) <= longest}
            contribution = sum(short.values(), Fraction(0))
            remainder += sum(parts.values(), Fraction(0)) - contribution
            if short:
                counts = {steps: table[steps][0] for steps in sorted(short)}
                found.append(CommonAncestor(nodes.ids[a], own, contribution, counts))
            continue
        for next_a, next_b, weight, steps_a, steps_b in _expand(nodes, a, b):
            there = (next_a, next_b)
            if there not in tables:
                tables[there] = {}
                heapq.heappush(ahead, (-max(there), there))
            onward = tables[there]
            for (n_sire, n_dam), (count, share) in table.items():
                steps = (n_sire + steps_a, n_dam + steps_b)
                old_count, old_share = onward.get(steps, (0, Fraction(0)))
                onward[steps] = (old_count + count, old_share + share * weight)
    found.sort(key=lambda one: (-one.contribution, str(one.id)))
    return Explanation(total, tuple(found), remainder, nodes, start)


def _expand(nodes: Nodes, a: int, b: int) -> Iterator[tuple[int, int, Fraction, int, int]]:
    """Step the younger of two lines; two lines in one mixture go the same way together."""
    if a == b:
        for node, weight, _ in nodes.steps(a):
            yield node, node, weight, 0, 0
    elif a > b:
        for node, weight, steps in nodes.steps(a):
            yield node, b, weight, steps, 0
    else:
        for node, weight, steps in nodes.steps(b):
            yield a, node, weight, 0, steps


class _ExactKinship:
    """Kinship in fractions, each pair once: k(x, y) from the parents of the younger."""

    def __init__(self, nodes: Nodes) -> None:
        self.nodes = nodes
        self.known: dict[tuple[int, int], Fraction] = {}

    def inbreeding(self, node: int) -> Fraction:
        first, second = self.nodes.first[node], self.nodes.second[node]
        return Fraction(0) if first < 0 or second < 0 else self.between(first, second)

    def between(self, a: int, b: int) -> Fraction:
        stack = [self._key(a, b)]
        while stack:
            key = stack[-1]
            if key in self.known:
                stack.pop()
                continue
            parts = self._parts(*key)
            missing = [pair for pair, _ in parts if pair not in self.known]
            if missing:
                stack.extend(missing)
                continue
            own = Fraction(1, 2) if self._is_self(*key) else Fraction(0)
            self.known[key] = own + sum(
                (self.known[pair] * weight for pair, weight in parts), Fraction(0)
            )
            stack.pop()
        return self.known[self._key(a, b)]

    @staticmethod
    def _key(a: int, b: int) -> tuple[int, int]:
        return (a, b) if a >= b else (b, a)

    def _is_self(self, a: int, b: int) -> bool:
        return a == b and self.nodes.weight[a] is None

    def _parts(self, a: int, b: int) -> list[tuple[tuple[int, int], Fraction]]:
        nodes = self.nodes
        if self._is_self(a, b):
            first, second = nodes.first[a], nodes.second[a]
            if first < 0 or second < 0:
                return []
            return [(self._key(first, second), Fraction(1, 2))]
        if a == b:
            return [(self._key(node, node), weight) for node, weight, _ in nodes.steps(a)]
        return [
            (self._key(node, b), weight * Fraction(1, 2**steps))
            for node, weight, steps in nodes.steps(a)
        ]
