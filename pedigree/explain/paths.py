"""Wright's paths: why two animals are related, line by line, exactly."""

import heapq
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import count
from typing import Any

import numpy as np

from pedigree.errors import LineageError
from pedigree.explain.path_counts import Pair, Steps, Weights, packed_counts, weighed_counts
from pedigree.kinship import engines
from pedigree.layout import Layout
from pedigree.pedigree import Pedigree
from pedigree.rows import UNKNOWN


@dataclass(frozen=True)
class CommonAncestor:
    """An animal in which lines from sire and dam meet, and what it adds to F."""

    id: Any
    inbreeding: Fraction
    contribution: Fraction
    paths: Mapping[Steps, int]

    @property
    def path_count(self) -> int:
        """Pairs of lines that meet here."""
        return sum(self.paths.values())


@dataclass(frozen=True)
class Explanation:
    """The inbreeding of a pairing's young as a sum over common ancestors.

    `contribution` says where lines *meet*; it is not partial inbreeding by founder, though both
    sum to F. With an uncertain sire among the ancestors, `paths` counts every possible line and
    the contributions are expected values.
    """

    sire: Any
    dam: Any
    inbreeding: Fraction
    ancestors: tuple[CommonAncestor, ...]
    remainder: Fraction
    certain: bool
    _layout: Layout = field(repr=False, compare=False)
    _start: Pair = field(repr=False, compare=False)

    @property
    def path_count(self) -> int:
        """How many pairs of lines there are, up to the longest asked for."""
        return sum(ancestor.path_count for ancestor in self.ancestors)

    def walk(self, limit: int | None = None) -> Iterator[tuple[Any, ...]]:
        """The paths themselves, shortest first, at most `limit` of them.

        Each is a tuple of ids from the sire up to the common ancestor and down to the dam. Found
        one by one, so a few cost little however many there are.
        """
        found = _walk(self._layout, self._start)
        for path, _ in zip(found, count() if limit is None else range(limit), strict=False):
            yield path


def explain(ped: Pedigree, sire: Any, dam: Any, longest: int | None = None) -> Explanation:
    """Why young of these two would be inbred: the common ancestors and the lines to each.

    F = sum over common ancestors A and over pairs of lines that meet only in A of
    (1/2)^(n_sire + n_dam + 1) (1 + F_A). Exact. `longest` leaves out pairs of lines with more
    than so many steps together; `remainder` is what they would add.

    The lines are counted, not listed: two lines of which the younger always takes the next step
    first meet in A exactly when they share nothing before A, so one pass over pairs of ancestors
    suffices. Cost: pairs of common-line ancestors times the number of different lengths.

    Source: Wright 1922, Am. Nat. 56:330-338.

    >>> ped = Pedigree.from_rows([
    ...     ("Vega", None, None), ("Altair", None, "Vega"), ("Spica", None, "Vega"),
    ...     ("Deneb", "Altair", None), ("Mira", None, "Spica")])
    >>> why = explain(ped, "Deneb", "Mira")
    >>> why.inbreeding, why.ancestors[0].id, why.ancestors[0].paths
    (Fraction(1, 32), 'Vega', {(2, 2): 1})
    >>> list(why.walk(5))
    [('Deneb', 'Altair', 'Vega', 'Spica', 'Mira')]
    """
    if longest is not None and longest < 0:
        raise LineageError(f"The longest path has 0 or more steps, not {longest}.")
    layout = ped._kin
    start = (int(layout.node_of_row[ped.row(sire)]), int(layout.node_of_row[ped.row(dam)]))
    certain = not layout.is_mixture.any() or not _is_uncertain(layout, start)
    weights: Weights = {}
    if certain and longest is None:
        counts = packed_counts(layout, start)
    else:
        counts, weights = weighed_counts(layout, start, longest)
    inbreeding, total = _exact_inbreeding(ped, start, list(counts), longest)
    ancestors = []
    for node, paths in counts.items():
        expected = paths if certain else weights[node]
        contribution = _contribution(expected, inbreeding[node])
        one = CommonAncestor(layout.label[node], inbreeding[node], contribution, paths)
        ancestors.append(one)
    ancestors.sort(key=_largest_first)
    listed = _sum([one.contribution for one in ancestors])
    total = listed if total is None else total
    return Explanation(sire, dam, total, tuple(ancestors), total - listed, certain, layout, start)


def _is_uncertain(layout: Layout, start: Pair) -> bool:
    return bool(layout.is_mixture[layout.closure(np.array(start))].any())


def _contribution(
    paths: Mapping[Steps, int] | Mapping[Steps, Fraction], inbreeding: Fraction
) -> Fraction:
    """Sum of counts x (1/2)^(n_sire + n_dam + 1) (1 + F), over one common denominator."""
    most = max((up + down for up, down in paths), default=0) + 1
    ways = sum(count * (1 << (most - 1 - up - down)) for (up, down), count in paths.items())
    numerator = ways * (inbreeding.denominator + inbreeding.numerator)
    return Fraction(numerator, inbreeding.denominator << most)


def _largest_first(one: CommonAncestor) -> tuple[float, Fraction, int, str]:
    # The float settles nearly all comparisons; those of fractions are slow.
    return -float(one.contribution), -one.contribution, one.path_count, str(one.id)


def _sum(parts: list[Fraction]) -> Fraction:
    """Their sum over one common denominator: much quicker than one by one."""
    common = math.lcm(*(part.denominator for part in parts))
    return Fraction(sum(part.numerator * (common // part.denominator) for part in parts), common)


def _exact_inbreeding(
    ped: Pedigree, start: Pair, nodes: list[int], longest: int | None
) -> tuple[dict[int, Fraction], Fraction | None]:
    """F of these nodes; and the kinship of the two, where the paths do not give it anyway."""
    layout = ped._kin
    shallow = int(layout.level[list(start)].max(initial=0)) < engines.MOST_EXACT_LEVELS
    if longest is None and shallow and ped._known and not layout.is_mixture.any():
        values = ped._known.between[nodes].tolist()
        return dict(zip(nodes, map(Fraction, values), strict=True)), None
    among, of_nodes, kept = engines.exactly(layout, np.unique(np.array(start)))
    found = dict(zip(among.tolist(), of_nodes.tolist(), strict=True))
    return found, kept[0, -1]


def _walk(layout: Layout, start: Pair) -> Iterator[tuple[Any, ...]]:
    """Best first, with the exact number of steps still to go as the bound (A*)."""
    remaining = _shortest(layout, start)
    if start not in remaining:
        return
    tie = count()
    todo: list[tuple[int, int, int, Pair, Any, Any]] = [
        (remaining[start], next(tie), 0, start, None, None)
    ]
    while todo:
        _, _, taken, pair, up, down = heapq.heappop(todo)
        a, b = pair
        younger = max(pair)
        mixture = bool(layout.is_mixture[younger])
        if a == b and not mixture:
            yield (*_names(layout, up)[::-1], layout.label[a], *_names(layout, down))
            continue
        above_up = (a, up) if a == younger and not mixture else up
        above_down = (b, down) if b == younger and not mixture else down
        for parent in (int(layout.first[younger]), int(layout.second[younger])):
            reached = (parent if a == younger else a, parent if b == younger else b)
            if parent != UNKNOWN and reached in remaining:
                now = taken + (not mixture)
                heapq.heappush(
                    todo,
                    (now + remaining[reached], next(tie), now, reached, above_up, above_down),
                )


def _names(layout: Layout, chain: Any) -> list[Any]:
    names = []
    while chain is not None:
        node, chain = chain
        names.append(layout.label[node])
    return names


def _shortest(layout: Layout, start: Pair) -> dict[Pair, int]:
    """Fewest steps from each pair to a meeting; pairs that never meet are left out."""
    order: list[tuple[Pair, bool, list[Pair]]] = []
    seen = {start}
    todo = [(-max(start), start)]
    while todo:
        _, pair = heapq.heappop(todo)
        a, b = pair
        younger = max(pair)
        mixture = bool(layout.is_mixture[younger])
        onward = []
        if a != b or mixture:
            for parent in (int(layout.first[younger]), int(layout.second[younger])):
                if parent != UNKNOWN:
                    onward.append((parent if a == younger else a, parent if b == younger else b))
        order.append((pair, mixture, onward))
        for reached in onward:
            if reached not in seen:
                seen.add(reached)
                heapq.heappush(todo, (-max(reached), reached))
    remaining: dict[Pair, int] = {}
    for pair, mixture, onward in reversed(order):
        if pair[0] == pair[1] and not mixture:
            remaining[pair] = 0
        else:
            known = [remaining[reached] for reached in onward if reached in remaining]
            if known:
                remaining[pair] = min(known) + (not mixture)
    return remaining
