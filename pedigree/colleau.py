"""Columns of the kinship matrix without the matrix: K = T D T', one block of columns at a time."""

import numpy as np

from pedigree.layout import UNKNOWN, Floats, Ints, Levels, offspring

CELLS = 4_000_000  # a block of columns takes about so many numbers, 32 MB


class Columns:
    """Multiplies by the kinship matrix of a pedigree: up to the ancestors, then down again.

    K = T D T': T holds the part of each ancestor in each descendant, D what is new in every
    animal (its Mendelian sampling). Cost: ancestors times columns, so quadratic in depth when all
    F of a closed line are asked for, but the same however many breeders live at once.

    Source: Henderson 1976, Biometrics 32:69-83; Quaas 1976, Biometrics 32:949-953; Colleau 2002,
    Genet. Sel. Evol. 34:409-421.
    """

    def __init__(self, levels: Levels, new: Floats) -> None:
        self._levels = levels
        self._new = new[:, None]
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
        levels, starts = self._levels, self._starts
        slices = levels.slices()
        for begin, end in reversed(slices[:-1]):
            first, last = int(starts[begin]), int(starts[end])
            if first == last:
                continue
            sums = vectors[self._young[first:last]]
            sums *= self._part[first:last]
            with_young = np.flatnonzero(starts[begin + 1 : end + 1] > starts[begin:end])
            at = starts[begin:end][with_young] - first
            vectors[begin + with_young] += np.add.reduceat(sums, at, axis=0)
        vectors[:-1] *= self._new
        mixed = bool(levels.is_mixture.any())
        for begin, end in slices[1:]:
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

    Level by level: the parents' columns need only what is new in their own ancestors. Cost: for
    each level, its sires (or dams, if fewer) times the ancestors of its parents.

    Source: Sargolzaei, Iwaisaki & Colleau 2005, J. Anim. Breed. Genet. 122:325-331.
    """
    size = len(levels.first)
    between, own = np.zeros(size), np.full(size, 0.5)
    new = own.copy()
    for begin, end in levels.slices()[1:]:
        nodes = np.arange(begin, end)
        both = (levels.first[nodes] != UNKNOWN) & (levels.second[nodes] != UNKNOWN)
        between[nodes[both]] = _pairs(
            levels, new, levels.first[nodes[both]], levels.second[nodes[both]]
        )
        own[nodes] = (1 + between[nodes]) / 2
        mixed = nodes[levels.is_mixture[nodes]]
        share = levels.share[mixed]
        own[mixed] = share * own[levels.first[mixed]] + (1 - share) * own[levels.second[mixed]]
        one = np.where(levels.first[nodes] == UNKNOWN, 0.0, own[levels.first[nodes]])
        other = np.where(levels.second[nodes] == UNKNOWN, 0.0, own[levels.second[nodes]])
        share = levels.share[nodes]
        new[nodes] = (
            own[nodes]
            - share**2 * one
            - (1 - share) ** 2 * other
            - 2 * share * (1 - share) * between[nodes]
        )
    return between, own


def _pairs(levels: Levels, new: Floats, one: Ints, other: Ints) -> Floats:
    """Kinship of one[k] with other[k], for nodes whose ancestors' D is known."""
    if len(np.unique(other)) < len(np.unique(one)):
        one, other = other, one
    wanted, which = np.unique(one, return_inverse=True)
    if not len(wanted):
        return np.empty(0)
    part = levels.part(np.union1d(wanted, other))
    columns = Columns(part, new[part.node])
    found = np.empty(len(one))
    for begin in range(0, len(wanted), columns.block):
        sires = wanted[begin : begin + columns.block]
        vectors = np.zeros((len(part.node) + 1, len(sires)))
        vectors[part.place[sires], np.arange(len(sires))] = 1
        columns.multiply(vectors)
        mine = np.flatnonzero((which >= begin) & (which < begin + len(sires)))
        found[mine] = vectors[part.place[other[mine]], which[mine] - begin]
    return found
