"""Observations that cannot all be: who contradicts whom."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any, TypeVar

import numpy as np

from pedigree.rows import UNKNOWN
from pedigree.traits.consistent import is_possible
from pedigree.traits.locus import Locus, Trios, copies_seen

T = TypeVar("T")

A_FEW = 5  # contradictions of one animal with its parents that are looked at more closely


def contradicting(locus: Locus) -> list[Any]:
    """Animals whose observations cannot all be, of which none is spare; [] if everything can be.

    The smallest of an animal with its two parents, where such three contradict each other; else
    found by halving what was seen. Cost: `is_possible` for each animal found, times the logarithm
    of those on whom something was seen.
    """
    seen = np.flatnonzero(locus.informed()).tolist()

    def can_be(nodes: Sequence[int]) -> bool:
        return is_possible(_only(locus, nodes))

    near = _contradicting_trios(locus)
    if not near and can_be(seen):
        return []
    found = [one_conflict(some, can_be) for some in near or (seen, seen[::-1])]
    size = min(map(len, found))
    return [locus.label[node] for node in sorted(next(one for one in found if len(one) == size))]


def one_conflict(claims: Sequence[T], can_be: Callable[[Sequence[T]], bool]) -> list[T]:
    """Claims that cannot all be, none of them spare, out of claims that cannot all be.

    Source: Junker 2004, QuickXplain, AAAI 2004:167-172.
    """

    def search(given: list[T], is_new: bool, rest: list[T]) -> list[T]:
        if is_new and not can_be(given):
            return []
        if len(rest) == 1:
            return rest
        half = len(rest) // 2
        one, other = rest[:half], rest[half:]
        of_other = search(given + one, True, other)
        return search(given + of_other, bool(of_other), one) + of_other

    return search([], True, list(claims)) if claims else []


def _only(locus: Locus, nodes: Sequence[int]) -> Locus:
    """The gene with what was seen on these alone."""
    likelihood = np.ones_like(locus.likelihood)
    likelihood[locus.is_single, 2] = 0
    likelihood[nodes] = locus.likelihood[nodes]
    return replace(locus, likelihood=likelihood)


def _contradicting_trios(locus: Locus) -> list[list[int]]:
    """Animals with their parents, where these three alone cannot be; at most a few."""
    trios = Trios(locus, np.arange(locus.size))
    informed = locus.informed()
    bad = np.flatnonzero(~trios.left(copies_seen(locus)).any(axis=(1, 2, 3)))[:A_FEW]
    three = [(int(trios.first[node]), int(trios.second[node]), node) for node in bad.tolist()]
    return [[one for one in trio if one != UNKNOWN and informed[one]] for trio in three]
