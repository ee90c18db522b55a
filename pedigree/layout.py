"""Rows of animals laid out as arrays: parents before offspring, uncertain sires as mixtures."""

import heapq
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from pedigree.errors import DuplicateAnimal, LineageError, LineageLoop, UnknownAnimal

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]

UNKNOWN = -1  # the parent nobody knows; as an index it reaches the empty last row of a table
HALF = Fraction(1, 2)

Belief = tuple[tuple[int, Fraction], ...]  # candidate sires by row, with their shares


@dataclass(frozen=True)
class Unrecorded:
    """The one unknown sire (or dam) that all young of a litter share; a founder without a row."""

    role: Literal["sire", "dam"]
    young: tuple[Any, ...]

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
    node_of_row: Ints  # (animals,)
    label: tuple[Any, ...]  # (nodes,) the animal's id; an Unrecorded; None for a mixture

    @property
    def size(self) -> int:
        """The number of nodes."""
        return len(self.first)


@dataclass(frozen=True)
class Read:
    """The rows as given, checked one by one; parents are row numbers."""

    ids: tuple[Any, ...]
    row_of: Mapping[Any, int]
    sire: list[int]
    dam: list[int]
    beliefs: Mapping[int, Belief]  # row to its possible sires, when there are several
    litter: Mapping[int, Hashable]  # row to its litter, where one is given


def read(rows: Iterable[Sequence[Any]]) -> Read:
    """Check the rows one by one. Cost: linear. Raises LineageError and its kinds."""
    listed = [tuple(row) for row in rows]
    row_of: dict[Any, int] = {}
    for row in listed:
        if len(row) not in (3, 4):
            raise LineageError(f"A row is (id, sire, dam) or (id, sire, dam, litter), not {row!r}.")
        animal = row[0]
        if animal is None:
            raise LineageError("An animal's id cannot be None: None stands for unknown.")
        try:
            if animal in row_of:
                raise DuplicateAnimal(animal)
        except TypeError:
            raise LineageError(f"An animal's id must be hashable, not {animal!r}.") from None
        row_of[animal] = len(row_of)
    sire, dam = [UNKNOWN] * len(listed), [UNKNOWN] * len(listed)
    beliefs: dict[int, Belief] = {}
    litter: dict[int, Hashable] = {}
    for number, row in enumerate(listed):
        given = row[1]
        if isinstance(given, Mapping):
            belief = _belief(row[0], given, row_of)
            if len(belief) == 1 and belief[0][1] == 1:
                sire[number] = belief[0][0]
            elif belief:
                beliefs[number] = belief
        elif given is not None:
            sire[number] = _parent(row[0], "sire", given, row_of)
        if row[2] is not None:
            dam[number] = _parent(row[0], "dam", row[2], row_of)
        if len(row) == 4 and row[3] is not None:
            litter[number] = row[3]
    return Read(tuple(row_of), row_of, sire, dam, beliefs, litter)


def _parent(animal: Any, role: str, parent: Any, row_of: Mapping[Any, int]) -> int:
    try:
        found = row_of.get(parent)
    except TypeError:
        raise LineageError(
            f"The {role} of {animal} must be an id, None"
            f"{' or a mapping of ids to shares' if role == 'sire' else ''}, not {parent!r}."
        ) from None
    if found is None:
        raise UnknownAnimal(parent, animal)
    return found


def exact(value: Any) -> Fraction:
    """A share as an exact fraction; a float means the decimal it is written as (0.1 is 1/10)."""
    try:
        return Fraction(repr(float(value))) if isinstance(value, float) else Fraction(value)
    except (TypeError, ValueError, OverflowError):
        raise LineageError(f"A share is a number from 0 to 1, not {value!r}.") from None


def _belief(animal: Any, given: Mapping[Any, Any], row_of: Mapping[Any, int]) -> Belief:
    shares = []
    for sire, value in given.items():
        share = exact(value)
        if not 0 <= share <= 1:
            raise LineageError(
                f"The share of {sire} as sire of {animal} is {value}; allowed is 0 to 1."
            )
        if sire is None:
            continue  # said to be unknown: the rest is that anyway
        if share:
            shares.append((_parent(animal, "sire", sire, row_of), share))
    total = sum((share for _, share in shares), Fraction(0))
    if total > 1:
        listed = ", ".join(f"{sire} {share}" for sire, share in given.items())
        raise LineageError(
            f"The shares of the possible sires of {animal} ({listed}) make {total}; "
            "they sum to at most 1."
        )
    return tuple(sorted(shares))


def lay_out(given: Read) -> Layout:
    """Order the animals parents first and add the virtual nodes. Raises LineageLoop."""
    animals = len(given.ids)
    first, second = list(given.sire), list(given.dam)
    label: list[Any] = list(given.ids)
    shares: dict[int, Fraction] = {}

    def add(one: int, other: int, name: Any, share: Fraction | None = None) -> int:
        first.append(one)
        second.append(other)
        label.append(name)
        if share is not None:
            shares[len(first) - 1] = share
        return len(first) - 1

    for young, belief in _sharing_a_sire(given):
        names = tuple(given.ids[row] for row in young)
        if not belief:
            common = add(UNKNOWN, UNKNOWN, Unrecorded("sire", names))
        else:
            common, total = belief[0]
            for candidate, share in belief[1:]:
                common = add(common, candidate, None, total / (total + share))
                total += share
            if total < 1:
                nobody = add(UNKNOWN, UNKNOWN, Unrecorded("sire", names))
                common = add(common, nobody, None, total)
        for row in young:
            first[row] = common
    for young in _sharing_an_unknown_dam(given):
        names = tuple(given.ids[row] for row in young)
        common = add(UNKNOWN, UNKNOWN, Unrecorded("dam", names))
        for row in young:
            second[row] = common

    order = _parents_first(first, second, animals, label)
    place = np.empty(len(first) + 1, np.int64)
    place[order] = np.arange(len(first))
    place[-1] = UNKNOWN
    share_of = np.full(len(first), 0.5)
    is_mixture = np.zeros(len(first), np.bool_)
    for raw, share in shares.items():
        share_of[place[raw]] = float(share)
        is_mixture[place[raw]] = True
    return Layout(
        first=place[np.array(first, np.int64)[order]] if first else np.empty(0, np.int64),
        second=place[np.array(second, np.int64)[order]] if first else np.empty(0, np.int64),
        share=share_of,
        is_mixture=is_mixture,
        exact_shares={int(place[raw]): share for raw, share in shares.items()},
        node_of_row=place[:animals],
        label=tuple(label[raw] for raw in order.tolist()),
    )


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


def _parents_first(first: list[int], second: list[int], animals: int, label: list[Any]) -> Ints:
    """Node numbers with parents before young, else in the order given (Kahn 1962)."""
    size = len(first)
    ones, others = np.array(first, np.int64), np.array(second, np.int64)
    if size == animals and bool(np.all(np.maximum(ones, others) < np.arange(size))):
        return np.arange(size)
    young: list[list[int]] = [[] for _ in range(size)]
    waiting_for = [0] * size
    for node in range(size):
        for parent in (first[node], second[node]):
            if parent != UNKNOWN:
                young[parent].append(node)
                waiting_for[node] += 1
    ready = [node for node in range(size) if not waiting_for[node]]
    order = []
    while ready:
        node = heapq.heappop(ready)
        order.append(node)
        for one in young[node]:
            waiting_for[one] -= 1
            if not waiting_for[one]:
                heapq.heappush(ready, one)
    if len(order) < size:
        raise LineageLoop(_loop(first, second, waiting_for, label))
    return np.array(order, np.int64)


def _loop(first: list[int], second: list[int], waiting_for: list[int], label: list[Any]) -> Any:
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
