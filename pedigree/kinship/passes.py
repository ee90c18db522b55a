"""Kinship of many nodes with each other: two passes over their ancestors, in tiles of columns."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from pedigree.kinship.front import Marks
from pedigree.kinship.memory import megabytes_for_a_table
from pedigree.kinship.workers import Workers
from pedigree.layout import Levels, offspring
from pedigree.rows import Floats, Ints

ROOM = 56_000_000  # bytes that the columns of a tile take, about, in every thread
LEVEL = 100_000  # numbers of a level, about, that a tile may have
NARROWEST, WIDEST = 8, 128  # columns of a tile
TOGETHER = 2_048  # rows that are made in one call
NOBODY = 0  # the row of the unknown parent, kin to nobody
AT_ONCE = 6  # levels whose passing rows are there together


class Piece(NamedTuple):
    """Some nodes of one level that are made in one call: n rows, one after the other."""

    rows: slice
    young: list[Ints]  # of the first rows one young, of the first of these another, and so on
    parts: list[Floats] | None  # (m, 1) twice what these have of it; None without mixtures
    first: Ints
    second: Ints
    share: Floats | None  # (n, 1) what comes from `first`; None without mixtures
    new: Floats | None  # (n, 1) what is new in each; None of those who pass


class Passes:
    """The kinship matrix of a pedigree as K = T D T', some columns at a time.

    The pass up finds the part of every ancestor in each of the columns, the pass down adds what is
    new in each ancestor to all its young.

    Source: Colleau 2002, Genet. Sel. Evol. 34:409-421.
    """

    def __init__(self, levels: Levels, new: Floats) -> None:
        """`new` (nodes,) is D, see `columns.mendelian_sampling`."""
        self._levels, self._new = levels, new

    def among(self, nodes: Ints, threads: int | None = None) -> Floats:
        """Kinship of these nodes with each other: (n, n), symmetric to the last bit.

        Each node once. The same with any number of threads; rounding in float64 leaves it less
        than 1e-14 off. Cost: ancestors times nodes, twice, in time; tiles of `ROOM` for every
        thread in memory, of which there are no more than there is memory for.
        """
        numbered = _Numbered(self._levels, self._new, nodes)
        found = np.empty((len(nodes), len(nodes)))
        width = width_of_tiles(numbered.size, len(self._levels.starts) - 1)
        tiles = [slice(at, min(at + width, len(nodes))) for at in range(0, len(nodes), width)]
        rows = numbered.row[nodes]

        def fill(tile: slice, room: _Room) -> None:
            columns = room.columns(tile.stop - tile.start)
            _up(numbered.pieces, columns, rows[tile], room)
            _down(numbered.pieces, columns, room)
            part = columns[rows[tile.start :]]
            found[tile.start :, tile] = part
            found[tile, tile.stop :] = part[tile.stop - tile.start :].T
            square = found[tile, tile]
            square[:] = np.tril(square) + np.tril(square, -1).T

        with Workers(threads) as workers:
            fit = int(megabytes_for_a_table() * 1e6 / (8 * numbered.size * width))
            count = min(workers.count, len(tiles), max(1, fit))
            rooms = [_Room(numbered, width) for _ in range(count)]
            workers.share(tiles, fill, rooms)
        return found


def width_of_tiles(size: int, levels: int) -> int:
    """How many columns a tile of so many rows has, so that it has room and a level is in cache."""
    fit = min(ROOM // (8 * size), LEVEL * levels // size)
    return min(WIDEST, max(NARROWEST, fit // NARROWEST * NARROWEST))


class _Numbered:
    """Which rows of a tile belong to whom, and the pieces in which they are made.

    In a level those with the most young come first: so the second, third, ... young of all of them
    are those of the first rows. Of as many young those of one parent lie side by side.

    One with a single young may *pass*: it has half of what its young has of the columns, so what
    is new in it is handed to the young once for all, and its row is wanted no longer than it takes
    from the young to the parents, or back. Such rows come after the others, and those of one level
    are used again `AT_ONCE` levels on: they stay in the processor's cache. Where litters are small
    half of the ancestors pass.
    """

    def __init__(self, levels: Levels, new: Floats, asked: Ints) -> None:
        self._levels = levels
        self._starts, self._young = offspring(levels.first, levels.second)
        self._passes = passes = self._who_passes(asked)
        self._new = self._handed_on(new, passes)
        self.row = np.zeros(len(new) + 1, np.int64)  # the last is of the unknown parent: NOBODY
        groups = self._number(passes)
        self.pieces = [
            self._piece(some)
            for nodes in groups
            for some in np.array_split(nodes, max(1, round(len(nodes) / TOGETHER)))
        ]

    def _who_passes(self, asked: Ints) -> Marks:
        """Those with one young, unless asked for or many levels from it or from a parent."""
        level = self._levels.level()
        passes: Marks = np.diff(self._starts) == 1
        passes[asked] = False
        nodes = np.flatnonzero(passes)
        after = level[self._young[self._starts[nodes]]] - level[nodes]
        eldest = np.append(level, len(level))[self._levels.parents(nodes)].min(axis=0)
        passes[nodes] = (after < AT_ONCE) & (level[nodes] - eldest < AT_ONCE)
        return passes

    def _handed_on(self, new: Floats, passes: Marks) -> Floats:
        """What is new in each, with what is new in those who pass and in its own: (nodes,)."""
        levels, new = self._levels, new.copy()
        handed = np.zeros(len(new) + 1)
        for begin, end in levels.slices():
            share = levels.share[begin:end]
            new[begin:end] += share**2 * handed[levels.first[begin:end]]
            new[begin:end] += (1 - share) ** 2 * handed[levels.second[begin:end]]
            handed[begin:end] = new[begin:end] * passes[begin:end]
        return new

    def _number(self, passes: Marks) -> list[Ints]:
        """Give everyone a row; returns those whose rows are side by side, parents first."""
        slices = self._levels.slices()
        most = np.zeros(AT_ONCE, np.int64)
        for level, (begin, end) in enumerate(slices):
            most[level % AT_ONCE] = max(most[level % AT_ONCE], np.count_nonzero(passes[begin:end]))
        first_again = 1 + np.count_nonzero(~passes)
        again = first_again + np.cumsum(most) - most
        self.size = int(first_again + most.sum())
        groups: list[Ints] = []
        next_row = 1
        for level, (begin, end) in enumerate(slices):
            count = np.diff(self._starts[begin : end + 1])
            first = self.row[self._levels.first[begin:end]]
            order = np.argsort(first - count * len(self.row)) + begin
            stay, pass_by = order[~passes[order]], order[passes[order]]
            self.row[stay] = np.arange(next_row, next_row + len(stay))
            self.row[pass_by] = again[level % AT_ONCE] + np.arange(len(pass_by))
            next_row += len(stay)
            groups += [nodes for nodes in (stay, pass_by) if len(nodes)]
        return groups

    def _piece(self, some: Ints) -> Piece:
        levels, row = self._levels, self.row
        start = int(row[some[0]])
        young = list(self._young_of(some))
        parts = share = None
        if levels.is_mixture.any():
            share = levels.share[some, None]
            parts = [2 * _part(levels, some[: len(nodes)], nodes)[:, None] for nodes in young]
        return Piece(
            rows=slice(start, start + len(some)),
            young=[row[nodes] for nodes in young],
            parts=parts,
            first=row[levels.first[some]],
            second=row[levels.second[some]],
            share=share,
            new=None if self._passes[some[0]] else self._new[some, None],
        )

    def _young_of(self, some: Ints) -> Iterator[Ints]:
        """Of those with the most young first: one young of each, another, and so on."""
        starts = self._starts[some]
        fewer = starts - self._starts[some + 1]
        ends = np.searchsorted(fewer, -np.arange(-fewer[0])).tolist()
        for number, end in enumerate(ends):
            yield self._young[starts[:end] + number]


class _Room:
    """What a thread works in: its columns, and twice the rows that are made in one call."""

    def __init__(self, numbered: _Numbered, width: int) -> None:
        self._rows = numbered.size
        self._most = max(len(piece.first) for piece in numbered.pieces)
        self._columns = np.empty(self._rows * width)
        self._taken = np.empty(2 * self._most * width)

    def columns(self, width: int) -> Floats:
        """All rows of a tile so wide, not filled."""
        self._both = self._taken[: 2 * self._most * width].reshape(2, self._most, width)
        return self._columns[: self._rows * width].reshape(self._rows, width)

    def taken(self, rows: Floats, which: Ints, number: int) -> Floats:
        """A copy of some rows, until the next of this number is taken."""
        copy = self._both[number, : len(which)]
        rows.take(which, axis=0, out=copy, mode="clip")  # "raise" would copy once more
        return copy


def _up(pieces: list[Piece], columns: Floats, rows: Ints, room: _Room) -> None:
    """Column k becomes what the node of row rows[k] has of everyone."""
    order = np.argsort(rows)
    ascending = rows[order]
    last = len(rows)
    columns[NOBODY] = 0
    for piece in reversed(pieces):
        found = columns[piece.rows]
        with_young = 0
        if piece.young:
            sums = _of_young(piece, columns, room)
            with_young = len(sums)
            np.multiply(sums, 0.5, out=found[:with_young])
        if piece.new is None:
            continue
        found[with_young:] = 0
        if last and ascending[last - 1] >= piece.rows.start:
            first = int(np.searchsorted(ascending[:last], piece.rows.start))
            columns[ascending[first:last], order[first:last]] += 1
            last = first


def _of_young(piece: Piece, columns: Floats, room: _Room) -> Floats:
    """The sum over the young of each row that has any; twice what comes from them."""
    sums = room.taken(columns, piece.young[0], 0)
    if piece.parts:
        sums *= piece.parts[0]
    for number in range(1, len(piece.young)):
        more = room.taken(columns, piece.young[number], 1)
        if piece.parts:
            more *= piece.parts[number]
        sums[: len(more)] += more
    return sums


def _down(pieces: list[Piece], columns: Floats, room: _Room) -> None:
    """From the parts of everyone in some nodes to everyone's kinship with these.

    Of one who passes without what is new in it, which its young has.
    """
    for piece in pieces:
        found = columns[piece.rows]
        rows = room.taken(columns, piece.first, 0)
        more = room.taken(columns, piece.second, 1)
        if piece.share is not None:
            rows *= 2 * piece.share
            more *= 2 - 2 * piece.share
        rows += more
        if piece.new is None:
            np.multiply(rows, 0.5, out=found)
        else:
            rows *= 0.5
            found *= piece.new
            found += rows


def _part(levels: Levels, parents: Ints, young: Ints) -> Floats:
    """What each of the young has of its parent, who stands twice in a row by selfing."""
    first = levels.first[young] == parents
    share = levels.share[young]
    part: Floats = np.where(first, share, 1 - share)
    part[first & (levels.second[young] == parents)] = 0.5
    return part
