"""Founders: what of them is in the living, as shares, equivalents and genomes."""

from __future__ import annotations  # evaluated, they would load numpy.random: 20 ms more

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Literal

import numpy as np

from pedigree.errors import LineageError
from pedigree.figures.diversity import mean_kinship, nodes_of
from pedigree.figures.retention import retained, retained_by_dropping
from pedigree.kinship.columns import Columns
from pedigree.layout import Layout, Levels, Unrecorded
from pedigree.pedigree import Pedigree
from pedigree.rows import UNKNOWN, Floats, Ints


def founder_shares(ped: Pedigree, living: Iterable[Any]) -> dict[Any, float]:
    """Expected share of each founder in the genes of the living; the shares sum to 1.

    What comes through unknown parents stands together under None. Founders without a share are
    left out. Cost: linear.

    Source: James 1972, Theor. Appl. Genet. 42:272-273; Lacy 1989, Zoo Biol. 8:111-123.

    >>> ped = Pedigree.from_rows([("Altair", None, None), ("Mira", "Altair", None)])
    >>> founder_shares(ped, ["Mira"])
    {'Altair': 0.5, None: 0.5}
    """
    levels, shares = _shares(ped, nodes_of(ped, living))
    found: dict[Any, float] = {}
    for place in np.flatnonzero(shares[: levels.starts[1]]).tolist():
        name = name_of(ped._layout, levels, place)
        found[name] = found.get(name, 0.0) + float(shares[place])
    if None in found:
        found[None] = found.pop(None)  # last
    return found


def name_of(layout: Layout, levels: Levels, place: int) -> Any:
    """The animal's id; None for an unknown parent."""
    node = int(levels.node[place])
    label = None if node == UNKNOWN else layout.label[node]
    return None if isinstance(label, Unrecorded) else label


def _shares(ped: Pedigree, nodes: Ints) -> tuple[Levels, Floats]:
    """The living's ancestry with its unknown founders, and every node's share in the living."""
    if not len(nodes):
        raise LineageError("The living are nobody; at least one animal is needed.")
    levels = ped._layout.levels(ped._layout.closure(nodes)).completed()
    vector = np.zeros((len(levels.first) + 1, 1))
    vector[levels.place[nodes]] = 1 / len(nodes)
    return levels, Columns(levels).up(vector)[:-1, 0]


def founder_equivalents(ped: Pedigree, living: Iterable[Any]) -> float:
    """How many founders with equal shares would give the living as much diversity, f_e.

    1 / sum of squared founder shares; every unknown parent counts as a founder of its own, so
    with much unknown it is an upper bound. Cost: linear.

    Source: Lacy 1989, Zoo Biol. 8:111-123.

    >>> ped = Pedigree.from_rows([("A", None, None), ("B", None, None), ("C", "A", "B")])
    >>> founder_equivalents(ped, ["C"])
    2.0
    """
    levels, shares = _shares(ped, nodes_of(ped, living))
    founders = shares[: levels.starts[1]]
    return float(1 / (founders @ founders))


def founder_genomes(
    ped: Pedigree,
    living: Iterable[Any],
    definition: Literal["kinship", "retention"] = "kinship",
    *,
    generator: np.random.Generator | None = None,
    drops: int = 10_000,
) -> float:
    """Founder genome equivalents, f_g: founders that would give the living's diversity unlost.

    Two definitions that differ by 10 to 25 % in small programs, so name the one you quote:
    "kinship" is 1 / (2 mean kinship); "retention" is 1 / sum (p^2 / r) with each founder's share
    p and the part r of its genes that is still there. r is exact while the family is small;
    beyond that it is estimated by dropping genes `drops` times, for which a `generator` is needed.

    Source: Lacy 1989, Zoo Biol. 8:111-123 (retention); Lacy 1995, Zoo Biol. 14:565-577;
    Caballero & Toro 2000, Genet. Res. 75:331-343 (kinship).

    >>> ped = Pedigree.from_rows([("A", None, None), ("B", None, None), ("C", "A", "B")])
    >>> founder_genomes(ped, ["C"]), founder_genomes(ped, ["C"], "retention")
    (1.0, 1.0)
    """
    animals = list(living)
    if definition == "kinship":
        if not animals:
            raise LineageError("The living are nobody; at least one animal is needed.")
        return float(1 / (2 * mean_kinship(ped, animals).mean()))
    if definition != "retention":
        raise LineageError(f"The definition is 'kinship' or 'retention', not {definition!r}.")
    return founders_left(ped, animals, generator=generator, drops=drops).genomes


@dataclass(frozen=True)
class FoundersLeft:
    """What is left of the founders' genes: `parts` as `retention` gives them, and the founder
    genomes that follow from them."""

    parts: Mapping[Any, Fraction | float]
    genomes: float


def founders_left(
    ped: Pedigree,
    living: Iterable[Any],
    *,
    generator: np.random.Generator | None = None,
    drops: int = 10_000,
) -> FoundersLeft:
    """Retention and the founder genomes by it in one go: in large families genes drop once.

    `parts` is of the founders on record, as `retention`; `genomes` counts every unknown parent
    too, as `founder_genomes` by retention. See there for units, errors and sources.

    >>> ped = Pedigree.from_rows([("A", None, None), ("B", None, None), ("C", "A", "B")])
    >>> left = founders_left(ped, ["C"])
    >>> left.parts["A"], left.genomes
    (Fraction(1, 2), 1.0)
    """
    nodes = nodes_of(ped, living)
    levels, shares = _shares(ped, nodes)
    founders = range(int(levels.starts[1]))
    parts = _retention(levels, levels.place[nodes], founders, generator, drops)
    names = [name_of(ped._layout, levels, k) for k in founders]
    return FoundersLeft(
        {name: part for name, part in zip(names, parts, strict=True) if name is not None},
        float(1 / sum(shares[k] ** 2 / part for k, part in enumerate(parts) if shares[k])),
    )


def retention(
    ped: Pedigree,
    living: Iterable[Any],
    *,
    generator: np.random.Generator | None = None,
    drops: int = 10_000,
) -> dict[Any, Fraction | float]:
    """Part of each founder's genes that is still in the living: 0 to 1.

    Exact fractions while the family is small, else estimated; see `founder_genomes`.

    >>> ped = Pedigree.from_rows([("A", None, None), ("B", "A", None), ("C", "A", None)])
    >>> retention(ped, ["B", "C"])
    {'A': Fraction(3, 4)}
    """
    nodes = nodes_of(ped, living)
    levels, _ = _shares(ped, nodes)
    named = [k for k in range(int(levels.starts[1])) if name_of(ped._layout, levels, k) is not None]
    parts = _retention(levels, levels.place[nodes], named, generator, drops)
    return {name_of(ped._layout, levels, k): part for k, part in zip(named, parts, strict=True)}


def _retention(
    levels: Levels,
    living: Ints,
    founders: Iterable[int],
    generator: np.random.Generator | None,
    drops: int,
) -> list[Fraction | float]:
    wanted = list(founders)
    exact = [retained(levels, living, founder) for founder in wanted]
    if any(part is None for part in exact):
        if generator is None:
            raise LineageError(
                "This family is too large for exact retention; give a random generator, for "
                "example numpy.random.default_rng(1), to estimate it by dropping genes."
            )
        dropped = retained_by_dropping(levels, living, generator, drops)
        return [
            float(dropped[founder]) if part is None else part
            for founder, part in zip(wanted, exact, strict=True)
        ]
    return [part for part in exact if part is not None]


def ancestor_contributions(ped: Pedigree, living: Iterable[Any]) -> tuple[tuple[Any, float], ...]:
    """Ancestors that together explain the living's genes, each with what it adds, largest first.

    Each step takes the animal with the largest part not yet explained by those taken before; of
    equal ones the older (fewer generations below the founders), then the one first in the rows.
    The parts sum to 1. Unknown parents appear as None, one by one. Cost: linear for each taken.

    Source: Boichard, Maignel & Verrier 1997, Genet. Sel. Evol. 29:5-23.

    >>> ped = Pedigree.from_rows([("A", None, None), ("B", None, None), ("C", "A", "B"),
    ...                           ("D", "C", None), ("E", "C", None)])
    >>> ancestor_contributions(ped, ["D", "E"])
    (('C', 0.5), (None, 0.25), (None, 0.25))
    """
    nodes = nodes_of(ped, living)
    levels, _ = _shares(ped, nodes)
    start = np.zeros((len(levels.first) + 1, 1))
    start[levels.place[nodes]] = 1 / len(nodes)
    first, second = levels.first.copy(), levels.second.copy()
    taken = np.zeros((len(levels.first) + 1, 1))
    row = np.full(ped._layout.size + 1, ped._layout.size)
    row[ped._layout.node_of_row] = np.arange(len(ped))
    order = np.lexsort((row[levels.node], levels.level()))  # of equal ones the first of these
    candidates = order[~levels.is_mixture[order]]
    found = []
    left = 1.0
    while left > 1e-12:
        cut = Levels(
            levels.node,
            first,
            second,
            levels.share,
            levels.is_mixture,
            levels.exact_shares,
            levels.starts,
            levels.place,
        )
        columns = Columns(cut)
        through = columns.up(start.copy())[:-1, 0]
        explained = columns.down(taken.copy())[:-1, 0]
        marginal = (through * (1 - explained))[candidates]
        best = candidates[int(np.argmax(marginal > marginal.max() - 1e-12))]
        part = float(through[best] * (1 - explained[best]))
        found.append((name_of(ped._layout, levels, int(best)), part))
        left -= part
        first[best] = second[best] = UNKNOWN  # from here on as if it were a founder
        taken[best] = 1
    return tuple(found)


def effective_ancestors(ped: Pedigree, living: Iterable[Any]) -> float:
    """Effective number of ancestors, f_a: 1 / sum of squared marginal contributions.

    Lower than founder equivalents where the line went through few animals; it can be higher when
    generations overlap. See `ancestor_contributions` for the rule of ties.

    Source: Boichard, Maignel & Verrier 1997, Genet. Sel. Evol. 29:5-23.

    >>> ped = Pedigree.from_rows([("A", None, None), ("B", None, None), ("C", "A", "B")])
    >>> effective_ancestors(ped, ["C"])
    1.0
    """
    return 1 / sum(part**2 for _, part in ancestor_contributions(ped, living))
