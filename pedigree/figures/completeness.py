"""How much of an animal's ancestry is known."""

from fractions import Fraction
from typing import Any, NamedTuple

import numpy as np

from pedigree.errors import LineageError
from pedigree.pedigree import Pedigree
from pedigree.rows import Floats


class KnownAncestors(NamedTuple):
    """Places in one generation of ancestors: 1 has two, 2 has four, and so on."""

    generation: int
    known: Fraction
    possible: int


def known_ancestors(ped: Pedigree, animal: Any, depth: int) -> tuple[KnownAncestors, ...]:
    """Known places among the ancestors, generation by generation.

    An animal that stands in two places counts in both. Of an uncertain sire, the part that some
    named male makes up counts. Cost: places times depth at most, animals times depth in a loop.

    >>> ped = Pedigree.from_rows([("Vega", None, None), ("Altair", None, "Vega"),
    ...                           ("Mira", "Altair", None)])
    >>> found = known_ancestors(ped, "Mira", 3)
    >>> [f"{one.known} of {one.possible}" for one in found]
    ['1 of 2', '1 of 4', '0 of 8']
    """
    _check_depth(depth)
    here: dict[Any, Fraction] = {animal: Fraction(1)}
    found = []
    for generation in range(1, depth + 1):
        above: dict[Any, Fraction] = {}
        for young, places in here.items():
            dam = ped.dam(young)
            parents = list(ped.sires(young).items())
            if dam is not None:
                parents.append((dam, Fraction(1)))
            for parent, share in parents:
                above[parent] = above.get(parent, Fraction(0)) + places * share
        found.append(KnownAncestors(generation, sum(above.values(), Fraction(0)), 2**generation))
        here = above
    return tuple(found)


def completeness(ped: Pedigree, animal: Any, depth: int) -> Floats:
    """Share of known ancestors in generations 1 to depth: float64 (depth,), each 0 to 1.

    >>> ped = Pedigree.from_rows([("Vega", None, None), ("Mira", None, "Vega")])
    >>> completeness(ped, "Mira", 2).tolist()
    [0.5, 0.0]
    """
    return np.array(
        [float(one.known / one.possible) for one in known_ancestors(ped, animal, depth)]
    )


def completeness_index(ped: Pedigree, animal: Any, depth: int) -> float:
    """Pedigree completeness index over `depth` generations: 0 to 1.

    The harmonic mean of the sire's and the dam's side, each the mean share of known ancestors;
    0 when a whole side is unknown, for then inbreeding cannot show.

    Source: MacCluer et al. 1983, J. Hered. 74:394-399.

    >>> ped = Pedigree.from_rows([("Vega", None, None), ("Altair", None, None),
    ...                           ("Mira", "Altair", "Vega")])
    >>> completeness_index(ped, "Mira", 1)
    1.0
    """
    sire_side, dam_side = sides(ped, animal, depth)
    if not sire_side or not dam_side:
        return 0.0
    return float(2 * sire_side * dam_side / (sire_side + dam_side))


def sides(ped: Pedigree, animal: Any, depth: int) -> tuple[Fraction, Fraction]:
    """Mean share of known ancestors over `depth` generations, on the sire's and the dam's side."""
    _check_depth(depth)
    if depth == 0:
        return Fraction(0), Fraction(0)
    dam = ped.dam(animal)
    sire_side = sum(
        (share * _one_side(ped, sire, depth) for sire, share in ped.sires(animal).items()),
        Fraction(0),
    )
    return sire_side, Fraction(0) if dam is None else _one_side(ped, dam, depth)


def _one_side(ped: Pedigree, parent: Any, depth: int) -> Fraction:
    above = known_ancestors(ped, parent, depth - 1)
    return (1 + sum((one.known / one.possible for one in above), Fraction(0))) / depth


def equivalent_generations(ped: Pedigree) -> Floats:
    """Equivalent complete generations of every animal: float64 (n,), aligned with `ids`.

    The sum over known ancestors of (1/2)^(generations back): 0 for a founder, 1 when both
    parents are known and nothing more. Cost: linear.

    Source: Maignel, Boichard & Verrier 1996, Interbull Bull. 14:49-54.

    >>> ped = Pedigree.from_rows([("Vega", None, None), ("Altair", None, None),
    ...                           ("Mira", "Altair", "Vega")])
    >>> equivalent_generations(ped).tolist()
    [0.0, 0.0, 1.0]
    """
    layout = ped._layout
    named = [label in ped for label in layout.label]
    known = [0.0] * (layout.size + 1)  # of a node, itself included: 1 + t; of unknown 0
    first, second, share = layout.first.tolist(), layout.second.tolist(), layout.share.tolist()
    for node in range(layout.size):
        one, other = known[first[node]], known[second[node]]
        if layout.is_mixture[node]:
            known[node] = share[node] * one + (1 - share[node]) * other
        elif named[node]:
            known[node] = 1 + (one + other) / 2
    return np.array([known[node] - 1 for node in layout.node_of_row.tolist()])


def _check_depth(depth: int) -> None:
    if depth < 0:
        raise LineageError(f"The number of generations is 0 or more, not {depth}.")
