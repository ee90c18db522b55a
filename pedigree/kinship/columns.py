"""Columns of the kinship matrix without the matrix: K = T D T', one block of columns at a time."""

import numpy as np

from pedigree.layout import Levels, each_once, offspring
from pedigree.rows import UNKNOWN, Floats, Ints

CELLS = 4_000_000  # a block of columns takes about so many numbers, 32 MB


class Columns:
    """Multiplies by the kinship matrix of a pedigree: up to the ancestors, then down again.

    K = T D T': T holds the part of each ancestor in each descendant, D what is new in every
    animal (its Mendelian sampling). Cost: ancestors times columns, so quadratic in depth when all
    F of a closed line are asked for, but the same however many breeders live at once.

    Source: Henderson 1976, Biometrics 32:69-83; Quaas 1976, Biometrics 32:949-953; Colleau 2002,
    Genet. Sel. Evol. 34:409-421.
    """

    def __init__(self, levels: Levels, new: Floats | None = None) -> None:
        self._levels = levels
        self._new = np.zeros((len(levels.first), 1)) if new is None else new[:, None]
        starts, young = offspring(levels.first, levels.second)
        share = levels.share
        # A node by selfing stands twice in a row among its parent's young; both count.
        parent = np.repeat(np.arange(len(levels.first)), np.diff(starts))
        self._starts, self._young = starts, young
        whole = (levels.first[young] == parent) & (levels.second[young] == parent)
        part = np.where(levels.first[young] == parent, share[young], 1 - share[young])
        self._part = np.where(whole, 0.5, part)[:, None]
        self.block = max(8, min(256, CELLS // (len(levels.first) + 1)))

    def multiply(self, vectors: Floats) -> Floats:
        """K times vectors: (nodes + 1, columns), changed in place; the last row stays 0."""
        self.up(vectors)
        vectors[:-1] *= self._new
        return self.down(vectors)

    def up(self, vectors: Floats) -> Floats:
        """T' times vectors, in place: what the animals hold, handed up to all their ancestors."""
        starts = self._starts
        for begin, end in reversed(self._levels.slices()[:-1]):
            first, last = int(starts[begin]), int(starts[end])
            if first == last:
                continue
            sums = vectors[self._young[first:last]]
            sums *= self._part[first:last]
            with_young = np.flatnonzero(starts[begin + 1 : end + 1] > starts[begin:end])
            at = starts[begin:end][with_young] - first
            vectors[begin + with_young] += np.add.reduceat(sums, at, axis=0)
        return vectors

    def down(self, vectors: Floats) -> Floats:
        """T times vectors, in place: what the ancestors hold, handed down to all their young."""
        levels = self._levels
        mixed = bool(levels.is_mixture.any())
        for begin, end in levels.slices()[1:]:
            rows = vectors[levels.first[begin:end]]
            if mixed:
                rows *= levels.share[begin:end, None]
                rows += (1 - levels.share[begin:end, None]) * vectors[levels.second[begin:end]]
            else:
                rows += vectors[levels.second[begin:end]]
                rows *= 0.5
            vectors[begin:end] += rows
        return vectors

    def among(self, rows: Ints, columns: Ints) -> Floats:
        """Kinship of some nodes with some others: (rows, columns)."""
        found = np.empty((len(rows), len(columns)))
        for begin in range(0, len(columns), self.block):
            part = columns[begin : begin + self.block]
            vectors = np.zeros((len(self._new) + 1, len(part)))
            vectors[part, np.arange(len(part))] = 1
            found[:, begin : begin + self.block] = self.multiply(vectors)[rows]
        return found


def mendelian_sampling(levels: Levels, between: Floats, own: Floats) -> Floats:
    """D of every node: the part of its kinship with itself that its parents do not explain.

    `between` is the kinship of the two a node stems from, `own` its kinship with itself.
    """
    one, other = np.append(own, 0.0)[levels.first], np.append(own, 0.0)[levels.second]
    share, rest = levels.share, 1 - levels.share
    new: Floats = own - share**2 * one - rest**2 * other - 2 * share * rest * between
    return new


def kinship_by_columns(levels: Levels) -> tuple[Floats, Floats]:
    """For every node the kinship of the two it stems from, and its kinship with itself.

    Sire by sire (or dam by dam, if these are fewer), oldest first: the column of a sire gives the
    F of all his young at once and needs D of nobody but his ancestors. Cost: sires times the
    ancestors of the sires and their mates.

    Source: Sargolzaei, Iwaisaki & Colleau 2005, J. Anim. Breed. Genet. 122:325-331.
    """
    size = len(levels.first)
    between, own, new = np.zeros(size), np.full(size + 1, 0.5), np.full(size, 0.5)
    own[UNKNOWN] = 0
    one, other = levels.first, levels.second
    both = np.flatnonzero((one != UNKNOWN) & (other != UNKNOWN))
    if len(each_once(other[both])) < len(each_once(one[both])):
        one, other = other, one
    young = both[np.argsort(one[both], kind="stable")]  # by sire, so by the sire's level
    cuts = np.searchsorted(one[young], levels.starts)
    share, rest = levels.share, 1 - levels.share
    for level, (begin, end) in enumerate(levels.slices()):
        nodes = slice(begin, end)
        x, y = own[levels.first[nodes]], own[levels.second[nodes]]
        own[nodes] = np.where(
            levels.is_mixture[nodes], share[nodes] * x + rest[nodes] * y, (1 + between[nodes]) / 2
        )
        known = share[nodes] ** 2 * x + rest[nodes] ** 2 * y
        new[nodes] = own[nodes] - known - 2 * share[nodes] * rest[nodes] * between[nodes]
        theirs = young[cuts[level] : cuts[level + 1]]
        if len(theirs):
            between[theirs] = _pairs(levels, new, one[theirs], other[theirs])
    return between, own[:-1]


def _pairs(levels: Levels, new: Floats, one: Ints, other: Ints) -> Floats:
    """Kinship of one[k] with other[k]; only D of the ancestors of `one` need be known."""
    wanted, which = np.unique(one, return_inverse=True)
    part = levels.part(each_once(np.concatenate([wanted, other])))
    columns = Columns(part, new[part.node])
    order = np.argsort(which, kind="stable")
    found = np.empty(len(one))
    for begin in range(0, len(wanted), columns.block):
        sires = wanted[begin : begin + columns.block]
        vectors = np.zeros((len(part.node) + 1, len(sires)))
        vectors[part.place[sires], np.arange(len(sires))] = 1
        columns.multiply(vectors)
        first, last = np.searchsorted(which[order], [begin, begin + len(sires)])
        mine = order[first:last]
        found[mine] = vectors[part.place[other[mine]], which[mine] - begin]
    return found
