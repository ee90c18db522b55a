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


def packed_counts(layout: Layout, start: Pair) -> Counts:
    """Counts for a pair with no uncertain sire among its ancestors.

    Pairs are expanded by the younger, youngest first, so each is complete when its turn comes.
    The counts of a pair are one Python integer with a bit field for each (n_sire, n_dam): one
    step more is another place, two sums are one addition.
    """
    deepest = int(layout.level[list(start)].max())
    bits = 2 * deepest + 1  # of so many steps there are at most 2^(2 deepest) pairs of lines
    width = deepest + 1  # places for n_dam
    first, second = layout.first, layout.second
    on_sire_side: dict[int, dict[int, Packed]] = defaultdict(dict)  # younger: {other: counts}
    on_dam_side: dict[int, dict[int, Packed]] = defaultdict(dict)
    met: dict[int, Packed] = {}

    def add(table: dict[int, Packed], key: int, more: Packed) -> None:
        known = table.get(key)
        if known is None:
            table[key] = more
        elif known[0] == more[0]:
            table[key] = (known[0], known[1] + more[1])
        else:
            low, high = (known, more) if known[0] < more[0] else (more, known)
            table[key] = (low[0], low[1] + (high[1] << (high[0] - low[0]) * bits))

    def put(a: int, b: int, counts: Packed) -> None:
        if a > b:
            add(on_sire_side[a], b, counts)
        elif a < b:
            add(on_dam_side[b], a, counts)
        else:
            add(met, a, counts)

    put(*start, (0, 1))
    for node in range(max(start), -1, -1):
        up, down = on_sire_side.pop(node, None), on_dam_side.pop(node, None)
        if not up and not down:
            continue
        parents = [one for one in (int(first[node]), int(second[node])) if one != UNKNOWN]
        if up:
            moved = [(other, (place + width, ways)) for other, (place, ways) in up.items()]
            for parent in parents:
                on_parent = on_sire_side[parent]
                for other, counts in moved:
                    if other < parent:
                        known = on_parent.get(other)
                        if known is None:
                            on_parent[other] = counts
                        elif known[0] == counts[0]:  # as in add(), without the cost of a call
                            on_parent[other] = (known[0], known[1] + counts[1])
                        else:
                            add(on_parent, other, counts)
                    elif other > parent:
                        add(on_dam_side[other], parent, counts)
                    else:
                        add(met, parent, counts)
        if down:
            moved = [(other, (place + 1, ways)) for other, (place, ways) in down.items()]
            for parent in parents:
                on_parent = on_dam_side[parent]
                for other, counts in moved:
                    if other < parent:
                        known = on_parent.get(other)
                        if known is None:
                            on_parent[other] = counts
                        elif known[0] == counts[0]:  # as in add(), without the cost of a call
                            on_parent[other] = (known[0], known[1] + counts[1])
                        else:
                            add(on_parent, other, counts)
                    elif other > parent:
                        add(on_sire_side[other], parent, counts)
                    else:
                        add(met, parent, counts)
    return {node: _unpacked(counts, bits, width) for node, counts in met.items()}


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
    counts = {
        node: {steps: ways for steps, (ways, _) in table.items()}
        for node, table in met.items()
        if table
    }
    weights = {
        node: {steps: weight for steps, (_, weight) in table.items()}
        for node, table in met.items()
        if table
    }
    return counts, weights
