"""How many pairs of lines meet in each common ancestor, by their lengths, without listing them."""

import heapq
from collections import defaultdict
from fractions import Fraction

from pedigree.layout import Layout
from pedigree.rows import HALF, UNKNOWN

Steps = tuple[int, int]  # steps up from the sire, steps up from the dam
Pair = tuple[int, int]  # where a line from the sire and a line from the dam have come to
Counts = dict[int, dict[Steps, int]]  # by the node where they meet
Weights = dict[int, dict[Steps, Fraction]]
Packed = tuple[int, int]  # fields left out below, and the fields from there on as one number
Tables = defaultdict[int, dict[int, Packed]]


def packed_counts(layout: Layout, start: Pair) -> Counts:
    """Counts for a pair with no uncertain sire among its ancestors.

    Pairs are expanded by the younger, youngest first, so each is complete when its turn comes.
    The counts of a pair are one Python integer with a bit field for each (n_sire, n_dam): one
    step more is another place, two sums are one addition.
    """
    deepest = int(layout.level[list(start)].max())
    bits = 2 * deepest + 1  # of so many steps there are at most 2^(2 deepest) pairs of lines
    width = deepest + 1  # places for n_dam
    first, second = (parent[: max(start) + 1].tolist() for parent in (layout.first, layout.second))
    on_sire_side: Tables = defaultdict(dict)  # younger: {other: counts}; the younger is above sire
    on_dam_side: Tables = defaultdict(dict)
    met: dict[int, Packed] = {}

    def move(node: int, more: int, side: Tables, other_side: Tables) -> None:
        """Expand the pairs of which `node` is the younger, on this side; `more` places further."""
        moved = [(other, (place + more, ways)) for other, (place, ways) in side.pop(node).items()]
        for parent in (first[node], second[node]):
            if parent == UNKNOWN:
                continue
            of_parent = side[parent]
            for other, counts in moved:
                if other < parent:
                    table, key = of_parent, other
                elif other > parent:
                    table, key = other_side[other], parent
                else:
                    table, key = met, parent
                known = table.get(key)
                if known is None:
                    table[key] = counts
                elif known[0] == counts[0]:
                    table[key] = (counts[0], known[1] + counts[1])
                else:
                    table[key] = _added(known, counts, bits)

    a, b = start
    if a == b:
        met[a] = (0, 1)
    else:
        (on_sire_side if a > b else on_dam_side)[max(start)] = {min(start): (0, 1)}
    for node in range(max(start), -1, -1):
        if on_sire_side.get(node):
            move(node, width, on_sire_side, on_dam_side)
        if on_dam_side.get(node):
            move(node, 1, on_dam_side, on_sire_side)
    return {node: _unpacked(counts, bits, width) for node, counts in met.items()}


def _added(one: Packed, other: Packed, bits: int) -> Packed:
    low, high = (one, other) if one[0] < other[0] else (other, one)
    return low[0], low[1] + (high[1] << (high[0] - low[0]) * bits)


def _unpacked(counts: Packed, bits: int, width: int) -> dict[Steps, int]:
    place, ways = counts
    mask = (1 << bits) - 1
    found = {}
    while ways:
        empty = ((ways & -ways).bit_length() - 1) // bits
        place += empty
        ways >>= empty * bits
        found[divmod(place, width)] = ways & mask
        ways >>= bits
        place += 1
    return found


def weighed_counts(
    layout: Layout, start: Pair, longest: int | None = None
) -> tuple[Counts, Weights]:
    """Counts of all possible lines, and of the lines to be expected where a sire is uncertain.

    The general way: passes through mixtures without a step, and leaves out lines with more than
    `longest` steps together.
    """
    first, second = layout.first, layout.second
    tables: dict[Pair, dict[Steps, tuple[int, Fraction]]] = {start: {(0, 0): (1, Fraction(1))}}
    todo = [(-max(start), start)]
    met: dict[int, dict[Steps, tuple[int, Fraction]]] = {}
    while todo:
        _, pair = heapq.heappop(todo)
        table = tables.pop(pair)
        a, b = pair
        younger = max(pair)
        mixture = bool(layout.is_mixture[younger])
        if a == b and not mixture:
            if table:  # empty when every line to it is longer than asked
                met[a] = table
            continue
        share = layout.exact_shares.get(younger, HALF)
        for parent, part in ((int(first[younger]), share), (int(second[younger]), 1 - share)):
            if parent == UNKNOWN:
                continue
            reached = (parent if a == younger else a, parent if b == younger else b)
            step = (0, 0) if mixture else (int(a == younger), int(b == younger))
            if reached not in tables:
                tables[reached] = {}
                heapq.heappush(todo, (-max(reached), reached))
            target = tables[reached]
            for (up, down), (ways, weight) in table.items():
                steps = (up + step[0], down + step[1])
                if longest is not None and sum(steps) > longest:
                    continue
                known = target.get(steps, (0, Fraction(0)))
                more = weight * part if mixture else weight
                target[steps] = (known[0] + ways, known[1] + more)
    counts: Counts = {}
    weights: Weights = {}
    for node, table in met.items():
        counts[node] = {steps: ways for steps, (ways, _) in table.items()}
        weights[node] = {steps: weight for steps, (_, weight) in table.items()}
    return counts, weights
