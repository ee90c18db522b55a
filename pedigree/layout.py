"""Rows of animals laid out as arrays: parents before offspring, uncertain sires as mixtures."""

import itertools
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from pedigree.assumed import Sharing
from pedigree.errors import LineageLoop
from pedigree.rows import UNKNOWN, Belief, Floats, Ints, Read


@dataclass(frozen=True)
class Unrecorded:
    """The one unknown sire (or dam) that all young of a litter share; a founder without a row."""

    role: Literal["sire", "dam"]
    young: tuple[Any, ...]
    is_assumed: bool = False  # nobody saw that these young share it

    def __str__(self) -> str:
        return f"the unknown {self.role} of {', '.join(map(str, self.young))}"


@dataclass(frozen=True)
class Layout:
    """A pedigree as arrays over nodes; every node comes after the two it stems from.

    Most nodes are animals. A *mixture* stands for one animal that is `first` with probability
    `share` and `second` otherwise (a sire that is one of several); it adds no step to a line.
    The phantom founders of litters with an unknown parent are nodes too.
    """

    first: Ints  # (nodes,) sire, or the first of a mixture; UNKNOWN is -1
    second: Ints  # (nodes,) dam, or the second of a mixture
    share: Floats  # (nodes,) what comes from `first`: 1/2 but for mixtures
    is_mixture: npt.NDArray[np.bool_]  # (nodes,)
    exact_shares: Mapping[int, Fraction]  # of the mixtures
    level: Ints  # (nodes,) 0 for founders, else one more than the higher of the two
    node_of_row: Ints  # (animals,)
    label: tuple[Any, ...]  # (nodes,) the animal's id; an Unrecorded; None for a mixture

    @property
    def size(self) -> int:
        """The number of nodes."""
        return len(self.first)

    def closure(self, nodes: Ints) -> Ints:
        """These nodes and everything they stem from, ascending. Cost: linear in what is found."""
        return _closure(self.first, self.second, nodes)

    def levels(self, nodes: Ints | None = None) -> "Levels":
        """All nodes, or these (closed under parents), sorted by level and numbered anew.

        Nothing is copied when these are all nodes and sorted already.
        """
        place = np.arange(self.size + 1)
        place[UNKNOWN] = UNKNOWN
        kept = place[:-1] if nodes is None else nodes
        level = self.level[kept]
        is_sorted = not np.any(level[1:] < level[:-1])
        starts = np.arange(int(level.max(initial=-1)) + 2)
        if nodes is None and is_sorted:
            return Levels(
                node=kept,
                first=self.first,
                second=self.second,
                share=self.share,
                is_mixture=self.is_mixture,
                exact_shares=self.exact_shares,
                starts=np.searchsorted(level, starts),
                place=place,
            )
        if not is_sorted:
            kept = kept[np.argsort(level, kind="stable")]
            level = self.level[kept]
        place = np.full(self.size + 1, UNKNOWN)
        place[kept] = np.arange(len(kept))
        number = {int(place[node]): share for node, share in self.exact_shares.items()}
        number.pop(UNKNOWN, None)
        return Levels(
            node=kept,
            first=place[self.first[kept]],
            second=place[self.second[kept]],
            share=self.share[kept],
            is_mixture=self.is_mixture[kept],
            exact_shares=number,
            starts=np.searchsorted(level, starts),
            place=place,
        )


@dataclass(frozen=True)
class Levels:
    """A layout, or part of it, sorted so that each level is one slice: `starts[k]:starts[k+1]`."""

    node: Ints  # (m,) numbers in the layout
    first: Ints  # (m,) places here; UNKNOWN is -1
    second: Ints
    share: Floats
    is_mixture: npt.NDArray[np.bool_]
    exact_shares: Mapping[int, Fraction]
    starts: Ints  # (levels + 1,)
    place: Ints  # (nodes + 1,) from a number in the layout to the place here

    def slices(self) -> list[tuple[int, int]]:
        """Start and stop of each level, founders first."""
        starts = self.starts.tolist()
        return list(itertools.pairwise(starts))

    def parents(self, places: Ints | slice) -> Ints:
        """First and second of these places: (2, n)."""
        return np.array([self.first[places], self.second[places]])

    def without_young(self) -> npt.NDArray[np.bool_]:
        """Which animals have no young here, so that nobody here stems from them."""
        found = np.append(~self.is_mixture, False)
        found[self.first] = found[self.second] = False
        return found[:-1]

    def level(self) -> Ints:
        """The level of each place."""
        return np.repeat(np.arange(len(self.starts) - 1), np.diff(self.starts))

    def completed(self) -> "Levels":
        """The same with a founder for every unknown parent of an animal that has a known one.

        They come first; their `node` is UNKNOWN.
        """
        level = self.level()
        no_first = (self.first == UNKNOWN) & (level > 0)
        no_second = (self.second == UNKNOWN) & (level > 0)
        new_first, new_second = int(no_first.sum()), int(no_second.sum())
        new = new_first + new_second
        first = np.where(self.first == UNKNOWN, UNKNOWN, self.first + new)
        second = np.where(self.second == UNKNOWN, UNKNOWN, self.second + new)
        first[no_first] = np.arange(new_first)
        second[no_second] = np.arange(new_first, new)
        nobody = np.full(new, UNKNOWN)
        return Levels(
            node=np.concatenate([nobody, self.node]),
            first=np.concatenate([nobody, first]),
            second=np.concatenate([nobody, second]),
            share=np.concatenate([np.full(new, 0.5), self.share]),
            is_mixture=np.concatenate([np.zeros(new, np.bool_), self.is_mixture]),
            exact_shares={node + new: share for node, share in self.exact_shares.items()},
            starts=np.concatenate([self.starts[:1], self.starts[1:] + new]),
            place=np.where(self.place == UNKNOWN, UNKNOWN, self.place + new),
        )

    def part(self, nodes: Ints) -> "Levels":
        """These places and what they stem from; `node` and `place` then speak of places here."""
        kept = _closure(self.first, self.second, nodes)
        place = np.full(len(self.first) + 1, UNKNOWN)
        place[kept] = np.arange(len(kept))
        shares = {
            int(place[node]): share
            for node, share in self.exact_shares.items()
            if place[node] != UNKNOWN
        }
        starts = np.searchsorted(kept, self.starts)
        filled = int(np.searchsorted(starts, len(kept))) + 1
        return Levels(
            node=kept,
            first=place[self.first[kept]],
            second=place[self.second[kept]],
            share=self.share[kept],
            is_mixture=self.is_mixture[kept],
            exact_shares=shares,
            starts=starts[:filled],
            place=place,
        )


def _closure(first: Ints, second: Ints, nodes: Ints) -> Ints:
    found = np.zeros(len(first) + 1, np.bool_)
    found[nodes] = True
    found[UNKNOWN] = True
    last = np.empty(len(first) + 1, np.int32)  # where each stands last: so each goes on once
    ahead = nodes
    while len(ahead):
        above = np.concatenate([first[ahead], second[ahead]])
        above = above[~found[above]]
        found[above] = True
        number = np.arange(len(above), dtype=np.int32)
        last[above] = number
        ahead = above[last[above] == number]
    return np.flatnonzero(found[:-1])


def lay_out(given: Read, assumed: Sequence[Sharing] = ()) -> Layout:
    """Order the animals parents first and add the virtual nodes. Raises LineageLoop.

    With `assumed`, founders that are held to be siblings stem from parents nobody wrote down.
    """
    animals = len(given.ids)
    virtual = _Virtual(animals)
    first, second = given.sire.copy(), given.dam.copy()
    for young, belief in _sharing_a_sire(given):
        first[young] = virtual.sire(belief, tuple(given.ids[row] for row in young))
    for young in _sharing_an_unknown_dam(given):
        second[young] = virtual.founder("dam", tuple(given.ids[row] for row in young))
    for group in assumed:
        rows = [row for row, _, _ in group]
        first[rows] = virtual.shared("sire", group, given.ids)
        second[rows] = virtual.shared("dam", group, given.ids)
    first = np.concatenate([first, np.array(virtual.first, np.int64)])
    second = np.concatenate([second, np.array(virtual.second, np.int64)])
    label = given.ids + tuple(virtual.label)

    order, level = _parents_first(first, second, label)
    place = np.empty(len(first) + 1, np.int64)
    place[order] = np.arange(len(first))
    place[UNKNOWN] = UNKNOWN
    share = np.full(len(first), 0.5)
    is_mixture = np.zeros(len(first), np.bool_)
    exact_shares = {int(place[raw]): part for raw, part in virtual.shares.items()}
    for node, part in exact_shares.items():
        share[node] = float(part)
        is_mixture[node] = True
    return Layout(
        first=place[first[order]],
        second=place[second[order]],
        share=share,
        is_mixture=is_mixture,
        exact_shares=exact_shares,
        level=level,
        node_of_row=place[:animals],
        label=tuple(map(label.__getitem__, order.tolist())),
    )


class _Virtual:
    """The nodes that are no animals, numbered after these."""

    def __init__(self, animals: int) -> None:
        self._animals = animals
        self.first: list[int] = []
        self.second: list[int] = []
        self.label: list[Any] = []
        self.shares: dict[int, Fraction] = {}

    def founder(self, role: Literal["sire", "dam"], young: tuple[Any, ...]) -> int:
        return self._add(UNKNOWN, UNKNOWN, Unrecorded(role, young))

    def sire(self, belief: Belief, young: tuple[Any, ...]) -> int:
        """One virtual sire: a phantom, or a chain of mixtures of the candidates."""
        if not belief:
            return self.founder("sire", young)
        common, total = belief[0]
        for candidate, share in belief[1:]:
            common = self._mix(common, candidate, total / (total + share))
            total += share
        return common if total == 1 else self._mix(common, self.founder("sire", young), total)

    def shared(
        self, role: Literal["sire", "dam"], group: Sharing, ids: tuple[Any, ...]
    ) -> list[int]:
        """A virtual parent of each member: those of earlier members by their weights, and its own.

        The weights may also be below 0: then the rest comes first, so that no sum on the way is 0.
        """
        found: list[int] = []
        for row, weights, after in group:
            parts = [(found[place], weight) for place, weight in enumerate(weights) if weight]
            rest = 1 - sum(weights, Fraction(0))
            if rest:
                young = tuple(ids[one] for one in (row, *after))
                parts.append((self._add(UNKNOWN, UNKNOWN, Unrecorded(role, young, True)), rest))
            parts.sort(key=lambda part: part[1] <= 0)
            common, total = parts[0]
            for other, weight in parts[1:]:
                common = self._mix(common, other, total / (total + weight))
                total += weight
            found.append(common)
        return found

    def _mix(self, one: int, other: int, share: Fraction) -> int:
        number = self._add(one, other, None)
        self.shares[number] = share
        return number

    def _add(self, one: int, other: int, label: Any) -> int:
        self.first.append(one)
        self.second.append(other)
        self.label.append(label)
        return self._animals + len(self.first) - 1


def _sharing_a_sire(given: Read) -> list[tuple[list[int], Belief]]:
    """Rows that share one uncertain or unknown sire, each group with what is believed of him.

    Young of one dam and litter with the same belief share him; an animal without a litter stands
    alone.
    """
    groups: dict[Any, list[int]] = {}
    for row, belief in given.beliefs.items():
        where = given.litter.get(row)
        key = (row,) if where is None else (where, given.dam[row], belief)
        groups.setdefault(key, []).append(row)
    for row, where in given.litter.items():
        if given.sire[row] == UNKNOWN and row not in given.beliefs:
            groups.setdefault((where, given.dam[row], ()), []).append(row)
    found = [(rows, given.beliefs.get(rows[0], ())) for rows in groups.values()]
    return [(rows, belief) for rows, belief in found if belief or len(rows) > 1]


def _sharing_an_unknown_dam(given: Read) -> list[list[int]]:
    groups: dict[Hashable, list[int]] = {}
    for row, where in given.litter.items():
        if given.dam[row] == UNKNOWN:
            groups.setdefault(where, []).append(row)
    return [rows for rows in groups.values() if len(rows) > 1]


def offspring(first: Ints, second: Ints) -> tuple[Ints, Ints]:
    """Young of every node as one array, and where each node's part of it starts: (n + 1,).

    A node made by selfing stands there twice.
    """
    size = len(first)
    parents = np.concatenate([first, second])
    bits = len(parents).bit_length()
    ordered = np.sort((parents << bits) | np.arange(len(parents)), kind="stable")
    young = ordered[np.count_nonzero(parents == UNKNOWN) :] & ((1 << bits) - 1)
    young[young >= size] -= size
    starts = np.cumsum(np.bincount(parents + 1, minlength=size + 1))
    return starts - starts[0], young


def in_parts(starts: Ints, young: Ints, nodes: Ints) -> Ints:
    """The young of these nodes, one after the other."""
    begin, count = starts[nodes], starts[nodes + 1] - starts[nodes]
    ends = np.cumsum(count)
    if not len(ends) or not ends[-1]:
        return young[:0]
    found: Ints = young[np.repeat(begin - ends + count, count) + np.arange(ends[-1])]
    return found


def _parents_first(first: Ints, second: Ints, label: tuple[Any, ...]) -> tuple[Ints, Ints]:
    """Node numbers level by level, parents before young (Kahn 1962), and their levels."""
    starts, young = offspring(first, second)
    waiting_for = (first != UNKNOWN).astype(np.int64) + (second != UNKNOWN)
    ready = np.flatnonzero(waiting_for == 0)
    parts = []
    while len(ready):
        parts.append(ready)
        below = in_parts(starts, young, ready)
        np.subtract.at(waiting_for, below, 1)
        ready = each_once(below[waiting_for[below] == 0])
    if sum(map(len, parts)) < len(first):
        raise LineageLoop(_loop(first.tolist(), second.tolist(), waiting_for.tolist(), label))
    sizes = [len(part) for part in parts]
    order = np.concatenate(parts) if parts else np.empty(0, np.int64)
    return order, np.repeat(np.arange(len(parts)), sizes)


def each_once(nodes: Ints) -> Ints:
    """Ascending, as `numpy.unique` gives them, which loads all of `numpy.ma` for it.

    >>> each_once(np.array([4, 2, 4])).tolist(), each_once(np.array([], int)).tolist()
    ([2, 4], [])
    """
    found = np.sort(nodes)
    is_first = np.ones(len(found), bool)
    is_first[1:] = found[1:] != found[:-1]
    return found[is_first]


def _loop(
    first: list[int], second: list[int], waiting_for: list[int], label: tuple[Any, ...]
) -> Any:
    """Walk up among the nodes that never became ready until one comes again."""
    node = next(node for node, count in enumerate(waiting_for) if count)
    seen: dict[int, int] = {}
    trail: list[int] = []
    while node not in seen:
        seen[node] = len(trail)
        trail.append(node)
        node = next(
            parent
            for parent in (first[node], second[node])
            if parent != UNKNOWN and waiting_for[parent]
        )
    loop = [*trail[seen[node] :], node][::-1]
    names = [label[node] for node in loop if label[node] is not None]  # without mixtures
    return names if names[0] == names[-1] else [*names, names[0]]
