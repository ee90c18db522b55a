"""Kinship of many nodes with each other: two passes over their ancestors, in tiles of columns."""

from typing import NamedTuple

import numpy as np

from pedigree.kinship.workers import Workers
from pedigree.layout import Levels, offspring
from pedigree.rows import Floats, Ints

ROOM = 112_000_000  # bytes that the columns of a tile take, about, in every thread
NARROWEST, WIDEST = 8, 64  # columns of a tile
TOGETHER = 2_048  # rows that are made in one call
NOBODY = 0  # the row of the unknown parent, kin to nobody


class Piece(NamedTuple):
    """Some nodes of one level; rows of parents come before those of the level, of young after."""

    rows: slice
    level: slice  # rows of the whole level
    young: list[Ints]  # of the first rows one young, of the first of these another, and so on
    parts: list[Floats] | None  # (n, 1) twice what these have of it; None without mixtures
    first: Ints
    second: Ints
    share: Floats | None  # (n, 1) what comes from `first`; None without mixtures
    new: Floats  # (n, 1) what is new in each


class Passes:
    """A pedigree numbered so that both passes of K = T D T' read and write long pieces.

    The pass up finds the part of every ancestor in each of the columns, the pass down adds what is
    new in each ancestor to all its young. In a level those with the most young come first: so the
    second, third, ... young of all of them are those of the first rows. Of as many young those of
    one parent lie side by side.

    Source: Colleau 2002, Genet. Sel. Evol. 34:409-421.
    """

    def __init__(self, levels: Levels, new: Floats) -> None:
        """`new` (nodes,) is D, see `columns.mendelian_sampling`."""
        size = len(levels.first)
        starts, young = offspring(levels.first, levels.second)
        count = np.diff(starts)
        self._row = np.zeros(size + 1, np.int64)  # the last is of the unknown parent: NOBODY
        node = np.empty(size, np.int64)
        for begin, end in levels.slices():
            order = np.lexsort((self._row[levels.first[begin:end]], -count[begin:end])) + begin
            node[begin:end] = order
            self._row[order] = np.arange(begin + 1, end + 1)
        self._size = size
        self._pieces = [
            self._piece(levels, new, some, slice(begin + 1, end + 1), _Young(starts, young, some))
            for begin, end in levels.slices()
            for some in np.array_split(node[begin:end], max(1, round((end - begin) / TOGETHER)))
        ]

    def _piece(
        self, levels: Levels, new: Floats, some: Ints, level: slice, young: "_Young"
    ) -> Piece:
        start = int(self._row[some[0]])
        parts = share = None
        if levels.is_mixture.any():
            share = levels.share[some, None]
            parts = [2 * _part(levels, *both)[:, None] for both in young.with_parents]
        return Piece(
            rows=slice(start, start + len(some)),
            level=level,
            young=[self._row[nodes] - level.stop for _, nodes in young.with_parents],
            parts=parts,
            first=self._row[levels.first[some]],
            second=self._row[levels.second[some]],
            share=share,
            new=new[some, None],
        )

    def among(self, nodes: Ints, threads: int | None = None) -> Floats:
        """Kinship of these nodes with each other: (n, n), symmetric to the last bit.

        The same with any number of threads. Cost: ancestors times nodes, twice, in time; tiles of
        `ROOM` for every thread in memory.
        """
        found = np.empty((len(nodes), len(nodes)))
        width = width_of_tiles(self._size)
        tiles = [slice(at, min(at + width, len(nodes))) for at in range(0, len(nodes), width)]
        rows = self._row[nodes]

        def fill(tile: slice, room: _Room) -> None:
            columns = room.columns(tile.stop - tile.start)
            self._up(columns, rows[tile], room)
            self._down(columns, room)
            part = columns[rows[tile.start :]]
            found[tile.start :, tile] = part
            found[tile, tile.stop :] = part[tile.stop - tile.start :].T
            square = found[tile, tile]
            square[:] = np.tril(square) + np.tril(square, -1).T

        with Workers(threads) as workers:
            count = min(workers.count, len(tiles))
            rooms = [_Room(self._size + 1, width) for _ in range(count)]
            workers.share(tiles, fill, rooms)
        return found

    def _up(self, columns: Floats, rows: Ints, room: "_Room") -> None:
        """Column k becomes what the node of row rows[k] has of everyone."""
        order = np.argsort(rows)
        ascending = rows[order]
        last = len(rows)
        for piece in reversed(self._pieces):
            begin, end = piece.rows.start, piece.rows.stop
            with_young = begin
            if piece.young:
                sums = _of_young(piece, columns[piece.level.stop :], room)
                with_young += len(sums)
                np.multiply(sums, 0.5, out=columns[begin:with_young])
            columns[with_young:end] = 0
            first = int(np.searchsorted(ascending[:last], begin))
            columns[ascending[first:last], order[first:last]] += 1
            last = first

    def _down(self, columns: Floats, room: "_Room") -> None:
        """From the parts of everyone in some nodes to everyone's kinship with these."""
        columns[NOBODY] = 0
        for piece in self._pieces:
            found = columns[piece.rows]
            found *= piece.new
            if piece.level.start == 1:
                continue
            above = columns[: piece.level.start]
            rows = room.taken(above, piece.first, 0)
            more = room.taken(above, piece.second, 1)
            if piece.share is None:
                rows += more
                rows *= 0.5
            else:
                rows *= piece.share
                more *= 1 - piece.share
                rows += more
            found += rows


def width_of_tiles(size: int) -> int:
    """How many columns a tile has in a pedigree of so many nodes."""
    fit = ROOM // (8 * (size + 1)) // NARROWEST * NARROWEST
    return min(WIDEST, max(NARROWEST, fit))


class _Young:
    """Of some nodes, those with the most young first: one young of each, another, and so on."""

    def __init__(self, starts: Ints, young: Ints, some: Ints) -> None:
        fewer = starts[some] - starts[some + 1]
        self.with_parents = []
        for number in range(-int(fewer[0])):
            parents = some[: int(np.searchsorted(fewer, -number))]
            self.with_parents.append((parents, young[starts[parents] + number]))


class _Room:
    """What a thread works in: its columns, and twice the rows that are made in one call."""

    def __init__(self, rows: int, width: int) -> None:
        self._rows = rows
        self._columns = np.empty(rows * width)
        self._taken = np.empty((2, 3 * TOGETHER // 2 * width))

    def columns(self, width: int) -> Floats:
        """All rows of a tile so wide, not filled."""
        return self._columns[: self._rows * width].reshape(self._rows, width)

    def taken(self, rows: Floats, which: Ints, number: int) -> Floats:
        """A copy of some rows, until the next of this number is taken."""
        width = rows.shape[1]
        copy = self._taken[number, : len(which) * width].reshape(len(which), width)
        np.take(rows, which, axis=0, out=copy, mode="clip")  # "raise" would copy once more
        return copy


def _of_young(piece: Piece, below: Floats, room: _Room) -> Floats:
    """The sum over the young of each row that has any; twice what comes from them."""
    sums = room.taken(below, piece.young[0], 0)
    if piece.parts:
        sums *= piece.parts[0]
    for number in range(1, len(piece.young)):
        more = room.taken(below, piece.young[number], 1)
        if piece.parts:
            more *= piece.parts[number]
        sums[: len(more)] += more
    return sums


def _part(levels: Levels, parents: Ints, young: Ints) -> Floats:
    """What each of the young has of its parent, who stands twice in a row by selfing."""
    first = levels.first[young] == parents
    share = levels.share[young]
    part: Floats = np.where(first, share, 1 - share)
    part[first & (levels.second[young] == parents)] = 0.5
    return part
