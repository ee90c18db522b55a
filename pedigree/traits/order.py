"""In which order to take animals out, so that few have to be thought of at once."""

import heapq
import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

Neighbours = dict[int, set[int]]

EASY = 2**14  # entries of all tables, below which no better order is looked for


@dataclass(frozen=True)
class Order:
    """Nodes in the order of their elimination; with each those it then still depended on."""

    nodes: tuple[int, ...]
    beside: Mapping[int, frozenset[int]]
    entries: int  # of all tables together

    def widest(self) -> int:
        """How many nodes stand in the largest group."""
        return 1 + max((len(one) for one in self.beside.values()), default=-1)


def neighbours(sizes: Mapping[int, int], scopes: Iterable[Sequence[int]]) -> Neighbours:
    """Who stands in a group with whom."""
    beside: Neighbours = {node: set() for node in sizes}
    for scope in scopes:
        for node in scope:
            beside[node].update(scope)
    for node, others in beside.items():
        others.discard(node)
    return beside


def elimination_order(sizes: Mapping[int, int], scopes: Iterable[Sequence[int]]) -> Order:
    """A good order for these nodes (node: number of states) and groups that belong together.

    Smallest table first; where that makes large tables, also the least fill and the least fill
    for each neighbour, and the best of the three. Cost: nodes times the square of neighbours.

    Source: Rose 1972 (in Graph Theory and Computing, 183-217) for the least fill; Kjaerulff 1990
    (R 90-09, Aalborg) for the weights.
    """
    beside = neighbours(sizes, scopes)
    weight = {node: math.log(size) for node, size in sizes.items()}

    def by_weight(graph: Neighbours, node: int) -> tuple[float, float]:
        return sum(map(weight.__getitem__, graph[node])) + weight[node], 0.0

    def fill(graph: Neighbours, node: int) -> int:
        others = graph[node]
        return sum(len(others - graph[one]) - 1 for one in others)

    def by_fill(graph: Neighbours, node: int) -> tuple[float, float]:
        return fill(graph, node), by_weight(graph, node)[0]

    def by_fill_each(graph: Neighbours, node: int) -> tuple[float, float]:
        return fill(graph, node) / max(len(graph[node]), 1), by_weight(graph, node)[0]

    found = _greedy(sizes, beside, by_weight, reach=1)
    if found.entries <= EASY:
        return found
    tried = [_greedy(sizes, beside, cost, reach=2) for cost in (by_fill, by_fill_each)]
    return min([found, *tried], key=lambda one: one.entries)


def _greedy(
    sizes: Mapping[int, int],
    beside: Neighbours,
    cost: Callable[[Neighbours, int], tuple[float, float]],
    reach: int,
) -> Order:
    """Always the cheapest node next; `reach` is how far away a cost can change by taking it out."""
    graph = {node: set(others) for node, others in beside.items()}
    now = {node: cost(graph, node) for node in sizes}
    waiting = [(price, node) for node, price in now.items()]
    heapq.heapify(waiting)
    order: dict[int, frozenset[int]] = {}
    entries = 0
    while waiting:
        price, node = heapq.heappop(waiting)
        if now.get(node) != price:
            continue  # taken out already, or its cost has changed since
        del now[node]
        others = graph.pop(node)
        order[node] = frozenset(others)
        entries += sizes[node] * math.prod(sizes[one] for one in others)
        for one in others:
            graph[one] |= others
            graph[one] -= {one, node}
        touched = set(others) if reach == 1 else others.union(*(graph[one] for one in others))
        for one in touched:
            new = cost(graph, one)
            if new != now[one]:
                now[one] = new
                heapq.heappush(waiting, (new, one))
    return Order(tuple(order), order, entries)
