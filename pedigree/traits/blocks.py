"""Genotypes drawn where sums over all are too large: many animals at once, while a few are held."""

from __future__ import annotations

import heapq
import math
from collections.abc import Mapping

import numpy as np

from pedigree.rows import UNKNOWN, Floats, Ints
from pedigree.traits.consistent import a_way
from pedigree.traits.inheritance import NOBODY, STATES
from pedigree.traits.locus import SINGLE, Locus
from pedigree.traits.order import Order, neighbours
from pedigree.traits.reckoned import Impossible, Reckoned

BLOCKS = 6
MOST_IN_A_TABLE = 3**6


class Blocks:
    """Chains of draws of all nodes of the core from their joint chances, block by block.

    In every sweep a few nodes are held at what they were drawn as, so that all others can be
    drawn together from exact tables; whom to hold differs from block to block, so that nobody is
    held in all. The chains go side by side, independent of each other, from the same beginning.

    Source: Jensen, Kjaerulff & Kong 1995, Int. J. Hum.-Comput. Stud. 42:647-666.
    """

    def __init__(self, whole: Reckoned, chains: int, rng: np.random.Generator) -> None:
        start = a_way(whole.locus)
        if start is None:
            raise Impossible
        self._whole = whole
        self._rng = rng
        self._chains = chains
        self.copies = {node: np.full(chains, start[node]) for node in whole.nodes}
        self._held = _all_held(whole, rng)
        self._orders: dict[int, Order] = {}

    def sweep(self, number: int) -> dict[int, Floats]:
        """Draw a block anew: chances of 0, 1, 2 copies of each node given those held: (chains, 3).

        What was drawn is in `copies`.
        """
        whole, which = self._whole, number % len(self._held)
        held = {node: self.copies[node] for node in self._held[which]}
        block = whole.holding(held, self._orders.get(which))
        self._orders[which] = block.tree.order
        drawn = block.reckoning.drawn(self._chains, self._rng)
        block.down()
        found: dict[int, Floats] = {}
        for node in whole.nodes:
            chances = np.zeros((self._chains, STATES))
            states = whole.states[node]
            if node in drawn:
                chances[:, states] = block.reckoning.chances([node])
                self.copies[node] = states[drawn[node]]
            else:
                chances[np.arange(self._chains), self.copies[node]] = 1
            found[node] = chances
        return found


def _all_held(whole: Reckoned, rng: np.random.Generator) -> list[list[int]]:
    """For each block, whom to hold; nobody in all of them."""
    times = dict.fromkeys(whole.free, 0)
    found: list[list[int]] = []
    while len(found) < BLOCKS or (times and max(times.values()) == len(found)):
        chosen = _held(whole, times, dict(zip(times, rng.random(len(times)), strict=True)))
        for node in chosen:
            times[node] += 1
        found.append(chosen)
        if not chosen:
            break
    return found


def _held(whole: Reckoned, times: Mapping[int, int], lot: Mapping[int, float]) -> list[int]:
    """Hold one of each group that would be too large; of its members the least held before."""
    sizes = whole.free
    graph = neighbours(sizes, [nodes for nodes, _ in whole.factors])
    waiting = [(len(others), lot[node], node) for node, others in graph.items()]
    heapq.heapify(waiting)
    held: list[int] = []
    while waiting:
        count, _, node = heapq.heappop(waiting)
        if node not in graph or len(graph[node]) != count:
            continue  # gone, or no longer as it was
        together = {node, *graph[node]}
        is_large = math.prod(sizes[one] for one in together) > MOST_IN_A_TABLE
        if is_large:
            node = min(together, key=lambda one: (times[one], lot[one]))
            held.append(node)
        others = graph.pop(node)
        for one in others:
            graph[one].discard(node)
            if not is_large:
                graph[one] |= others - {one}
        for one in (together | others) - {node}:
            heapq.heappush(waiting, (len(graph[one]), lot[one], one))
    return held


def handed_down(
    whole: Reckoned, copies: dict[int, Ints], draws: int, rng: np.random.Generator
) -> dict[int, Floats]:
    """Chances of all nodes outside the tree for each draw of those in it: (draws, 3) each.

    They are drawn too: `copies`, (draws,) each, holds them afterwards.
    """
    locus = whole.locus
    inside = set(whole.nodes)
    lots = rng.random((locus.size, draws))
    copies[UNKNOWN] = np.full(draws, NOBODY)
    found: dict[int, Floats] = {}
    for node in range(locus.size):
        if node in inside:
            continue
        table = _table(locus, node) * locus.likelihood[node]
        chances = table[copies[int(locus.first[node])], copies[int(locus.second[node])]]
        total = chances.cumsum(axis=1)
        copies[node] = (total <= lots[node][:, None] * total[:, -1:]).sum(axis=1)
        found[node] = chances / total[:, -1:]
    del copies[UNKNOWN]
    return found


def _table(locus: Locus, node: int) -> Floats:
    table: Floats = locus.tables[locus.kind[node]]
    return (table + locus.tables[SINGLE]) / 2 if locus.sex_unknown[node] else table
