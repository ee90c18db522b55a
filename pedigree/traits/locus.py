"""A pedigree and what was seen on it, as arrays: one gene, a node for every animal."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from pedigree.errors import LineageError
from pedigree.layout import Layout, Unrecorded
from pedigree.pedigree import Pedigree
from pedigree.rows import UNKNOWN, Floats, Ints
from pedigree.traits.inheritance import (
    NOBODY,
    STATES,
    SexLinked,
    mendel,
    of_a_single,
    of_both,
    one_of_two,
)

Bools = npt.NDArray[np.bool_]
Seen = Mapping[Any, Sequence[float]]  # an animal to how likely what was seen is with 0, 1, 2 copies

DIPLOID, SINGLE = 0, 1  # kinds of node; further ones are mixtures, each with its share


@dataclass(frozen=True)
class Locus:
    """One gene in a pedigree; a node comes after the two it stems from, UNKNOWN is -1.

    A mixture stands for a sire who is one of two, as in the layout of the pedigree, so that
    littermates share one unknown choice and no variable is needed for it.
    """

    frequency: float
    first: Ints  # (n,)
    second: Ints  # (n,); the only one of an animal with a single copy
    kind: Ints  # (n,) index of `tables`
    tables: Floats  # (kinds, 4, 4, 3)
    is_mixture: Bools  # (n,)
    is_single: Bools  # (n,) has one copy at most
    sex_unknown: Bools  # (n,) of a sex-linked gene; always without young
    likelihood: Floats  # (n, 3), the largest of each 1
    logarithm: float  # of what the likelihoods were divided by for that
    label: tuple[Any, ...]
    sex_linked: bool

    @property
    def size(self) -> int:
        """The number of nodes."""
        return len(self.first)

    def handed_on(self, node: int) -> Floats:
        """The chance that the node hands the gene on, by its copies: (3,)."""
        return np.array([0.0, 1.0, 0.0]) if self.is_single[node] else np.array([0.0, 0.5, 1.0])

    def above(self, nodes: Iterable[int]) -> Bools:
        """These nodes and all they stem from: (n,)."""
        found = np.zeros(self.size + 1, np.bool_)  # the last place takes the unknown parents
        found[list(nodes)] = True
        for node in range(self.size - 1, -1, -1):
            if found[node]:
                found[self.first[node]] = found[self.second[node]] = True
        return found[:-1]

    def informed(self) -> Bools:
        """On which nodes something was seen that tells their copies apart: (n,)."""
        allowed = np.where(self.is_single[:, None], [True, True, False], True)
        high = np.where(allowed, self.likelihood, 0).max(axis=1)
        low = np.where(allowed, self.likelihood, np.inf).min(axis=1)
        found: Bools = high != low
        return found

    def with_kind(self, node: int, table: Floats) -> "Locus":
        """The same with another table (4, 4, 3) for one node."""
        kind = self.kind.copy()
        kind[node] = len(self.tables)
        return replace(self, kind=kind, tables=np.concatenate([self.tables, table[None]]))


def locus_of(
    ped: Pedigree, seen: Seen, frequency: float, sex_linked: SexLinked | None = None
) -> Locus:
    """Check what is given and lay it out. Raises UnknownAnimal and LineageError.

    Kinship that is assumed of founders is not asked. Cost: linear.
    """
    if not 0 <= frequency <= 1:
        raise LineageError(f"The frequency of a gene is from 0 to 1, not {frequency}.")
    layout = ped._layout
    likelihood = np.ones((layout.size, STATES))
    for animal, values in seen.items():
        node = layout.node_of_row[ped.row(animal)]
        likelihood[node] = _checked(animal, values)
    largest = likelihood.max(axis=1, keepdims=True)
    kind = np.where(layout.is_mixture, 0, DIPLOID)
    tables = [mendel(frequency), of_a_single(np.array([0.0, 0.5, 1.0, frequency]))]
    shares = sorted(set(layout.exact_shares.values()))
    for node, share in layout.exact_shares.items():
        kind[node] = len(tables) + shares.index(share)
    tables += [one_of_two(float(share)) for share in shares]
    nobody = np.zeros(layout.size, np.bool_)
    found = Locus(
        frequency=frequency,
        first=layout.first,
        second=layout.second,
        kind=kind,
        tables=np.array(tables),
        is_mixture=layout.is_mixture,
        is_single=nobody,
        sex_unknown=nobody,
        likelihood=likelihood / largest,
        logarithm=float(np.log(largest).sum()),
        label=layout.label,
        sex_linked=sex_linked is not None,
    )
    return found if sex_linked is None else _linked(found, layout, sex_linked)


def _checked(animal: Any, values: Sequence[float]) -> Floats:
    try:
        found = np.array(values, np.float64)
    except (TypeError, ValueError):
        found = np.empty(0)
    if found.shape != (STATES,) or not np.isfinite(found).all() or found.min() < 0:
        raise LineageError(
            f"What was seen on {animal} is three likelihoods of 0 or more, for 0, 1 and 2 copies, "
            f"not {values!r}."
        )
    if not found.any():
        raise LineageError(f"What was seen on {animal} is impossible with 0, 1 and 2 copies.")
    return found


def _linked(locus: Locus, layout: Layout, sexes: SexLinked) -> Locus:
    """Who has one copy, and from whom: the sex with one has it from the parent that has two.

    In every node with two copies the first parent is then the one that hands on his only copy.
    """
    is_female, is_male = _sexes(layout, sexes)
    single = is_male if sexes.one_copy == "males" else is_female
    unknown = ~is_male & ~is_female
    of_one, of_two = layout.first, layout.second
    if sexes.one_copy == "females":
        of_one, of_two = of_two, of_one
    mixture = layout.is_mixture
    first = np.where(mixture, layout.first, np.where(single, UNKNOWN, of_one))
    second = np.where(mixture, layout.second, of_two)
    likelihood = locus.likelihood.copy()
    likelihood[single, 2] = 0
    found = replace(locus, first=first, second=second, likelihood=likelihood)
    if (puzzling := np.flatnonzero(found.informed() & unknown)).size:
        raise LineageError(
            f"The sex of {locus.label[puzzling[0]]} is not given; what was seen on it says nothing "
            "of a sex-linked trait without it."
        )
    for node in np.flatnonzero(single & ~likelihood[:, :2].any(axis=1)):
        raise LineageError(
            f"What was seen on {locus.label[node]} needs 2 copies; its sex has one of this gene."
        )
    tables = locus.tables.copy()
    frequency = locus.frequency
    tables[DIPLOID] = of_both(np.array([0, 1, 1, frequency]), np.array([0, 0.5, 1, frequency]))
    kind = np.where(single & ~mixture, SINGLE, locus.kind)
    return replace(found, tables=tables, kind=kind, is_single=single, sex_unknown=unknown)


def with_sexes_of_parents(ped: Pedigree, given: SexLinked | None) -> SexLinked | None:
    """The sexes given and those of all sires and dams, for rows in which they may be none."""
    if given is None:
        return None
    males = {sire for animal in ped.ids for sire in ped.sires(animal)}
    females = {ped.dam(animal) for animal in ped.ids} - {None}
    return SexLinked.of(given.females | females, given.males | males, given.one_copy)


def _sexes(layout: Layout, given: SexLinked) -> tuple[Bools, Bools]:
    """Which nodes are female and which male: as given, and as the parts they play."""
    female = np.zeros(layout.size + 1, np.bool_)
    male = np.zeros(layout.size + 1, np.bool_)
    for node, label in enumerate(layout.label):
        if isinstance(label, Unrecorded):
            (male if label.role == "sire" else female)[node] = True
        elif label is not None:
            female[node], male[node] = label in given.females, label in given.males
    animal = np.flatnonzero(~layout.is_mixture)
    male[layout.first[animal]] = True
    female[layout.second[animal]] = True
    for node in np.flatnonzero(layout.is_mixture)[::-1].tolist():
        for sex in (male, female):
            sex[[layout.first[node], layout.second[node]]] |= sex[node]
    both = np.flatnonzero((female & male)[:-1])
    if both.size:
        raise LineageError(
            f"{layout.label[both[0]]} is a female and a male, by its sex or as a parent; that "
            "cannot be for a sex-linked trait."
        )
    return female[:-1], male[:-1]


class Trios:
    """Nodes with their parents, and what Mendel allows of the three: (n, 4, 4, 3)."""

    def __init__(self, locus: Locus, nodes: Ints) -> None:
        self.nodes = nodes
        self.first, self.second = locus.first[nodes], locus.second[nodes]
        self._law = locus.tables[locus.kind[nodes]] > 0
        itself = (self.first == self.second) & (self.first != UNKNOWN)
        self._law[itself] &= np.eye(NOBODY + 1, dtype=np.bool_)[:, :, None]

    def left(self, can: Bools) -> Bools:
        """Which genotypes of the three go with what each can have: `can` is (nodes + 1, 4)."""
        parents = can[self.first][:, :, None] & can[self.second][:, None, :]
        found: Bools = self._law & parents[..., None] & can[self.nodes][:, None, None, :STATES]
        return found


def copies_seen(locus: Locus) -> Bools:
    """Which copies what was seen on each node alone allows; the last row is nobody: (n + 1, 4)."""
    can = np.zeros((locus.size + 1, NOBODY + 1), np.bool_)
    can[UNKNOWN, NOBODY] = True
    can[:-1, :STATES] = locus.likelihood > 0
    return can


def possible_copies(locus: Locus, within: Bools, copies: Bools | None = None) -> Bools | None:
    """Which copies each of these nodes can have, as far as trios tell: (n, 3); None for a conflict.

    What contradicts a parent or a young is struck out until nothing changes. Without loops in
    the pedigree nothing impossible remains; with loops something may. `within` holds the parents
    of its members; `copies` (n, 3) strikes out more beforehand. Cost: the trios, for each
    generation that a conclusion travels.

    Source: Lange & Goradia 1987, Am. J. Hum. Genet. 40:250-256; O'Connell & Weeks 1999,
    Am. J. Hum. Genet. 65:1733-1740 (what loops change).
    """
    trios = Trios(locus, np.flatnonzero(within))
    can = copies_seen(locus)
    if copies is not None:
        can[:-1, :STATES] &= copies
    while True:
        before = can.copy()
        left = trios.left(can)
        can[trios.nodes, :STATES] &= left.any(axis=(1, 2))
        np.logical_and.at(can, trios.first, left.any(axis=(2, 3)))
        np.logical_and.at(can, trios.second, left.any(axis=(1, 3)))
        if not can[trios.nodes].any(axis=1).all() or not can[UNKNOWN, NOBODY]:
            return None
        if (can == before).all():
            return can[:-1, :STATES]
