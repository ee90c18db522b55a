"""The tabular method in tiles: nobody moves, questions come early, threads share the work."""

from typing import NamedTuple

import numpy as np

from pedigree.kinship.questions import Questions, Terms, together
from pedigree.kinship.schedule import NO_PLACE, Schedule, Window
from pedigree.kinship.tabular import Table
from pedigree.kinship.workers import Workers
from pedigree.layout import Levels
from pedigree.rows import UNKNOWN, Floats, Ints

ASKED = 8_000  # questions that are taken apart together
AHEAD = 8  # times as many are taken apart at a time, by all threads
TOGETHER = 1_024  # rows that are made in one call


def by_tiles(
    levels: Levels,
    keep: Ints,
    schedule: Schedule | None = None,
    threads: int | None = None,
    known: Floats | None = None,
) -> Table:
    """F of every node and the kinship of the nodes to keep, as `tabular` finds them.

    `keep` are places in `levels`, each at most once. Float64, sums and halvings only, so exact to
    about 25 generations, and the same to the last bit with any number of threads; None lets
    `Workers` choose. `known` (nodes,) is F where that is known: it is not asked for again, so rows
    leave sooner; `schedule` must have been made without questions then.

    Cost: for every animal that enters the table, the number of those in it by then, see
    `Schedule.cells`; memory the square of the most who are in it at once.

    Source: Emik & Terrill 1949, J. Hered. 40:51-55, for the table; Karigl 1981, Ann. Hum. Genet.
    45:299-305, for the recursion that answers early questions.
    """
    schedule = schedule or Schedule(levels, keep, asks=known is None)
    between = np.zeros(len(levels.first)) if known is None else known
    with Workers(threads) as workers:
        answers = _Answers(levels, schedule, between, workers)
        table = _Tiles(levels, schedule, workers)
        for number, window in enumerate(schedule.windows):
            answers.before(number, table)
            if len(window.nodes):
                table.enter(window, between[window.nodes])
        answers.before(schedule.count, table)
        kept = table.among(keep)
    del table  # it is large, and what follows needs room of its own
    return Table(between, _own(levels, between), kept)


def _own(levels: Levels, between: Floats) -> Floats:
    """Kinship of every node with itself: (nodes,)."""
    own = np.append((1 + between) / 2, 0.0)
    if levels.is_mixture.any():
        for begin, end in levels.slices():
            mixed = begin + np.flatnonzero(levels.is_mixture[begin:end])
            share = levels.share[mixed]
            own[mixed] = share * own[levels.first[mixed]]
            own[mixed] += (1 - share) * own[levels.second[mixed]]
    found: Floats = own[:-1]
    return found


class _Answers:
    """All questions, sorted by the window before which they are asked; fills in `between`.

    Littermates share one question, where they stand side by side.
    """

    def __init__(
        self, levels: Levels, schedule: Schedule, between: Floats, workers: Workers
    ) -> None:
        nodes = np.flatnonzero(schedule.asked >= 0)
        nodes = nodes[np.argsort(schedule.asked[nodes], kind="stable")]
        parents = levels.parents(nodes)
        is_new = np.append(True, (parents[:, 1:] != parents[:, :-1]).any(axis=0))[: len(nodes)]
        self._nodes, self._starts = nodes, np.append(np.flatnonzero(is_new), len(nodes))
        self._asked = nodes[is_new]
        self._window = schedule.asked[self._asked]
        self._cuts = np.searchsorted(self._window, np.arange(schedule.count + 2)).tolist()
        self._questions = Questions(levels, schedule.window)
        self._place, self._between, self._workers = schedule.place, between, workers
        self._from = self._to = 0  # those taken apart already, perhaps several windows at once

    def before(self, window: int, table: "_Tiles") -> None:
        """Answer what is asked before those of this window enter."""
        begin, end = self._cuts[window : window + 2]
        if begin == end:
            return
        if end > self._to:
            self._take_apart(begin, max(end, min(begin + AHEAD * ASKED, len(self._asked))))
        mine = slice(begin - self._from, end - self._from)
        terms = self._terms
        if mine.stop - mine.start < len(self._certain):
            number = terms.question
            terms = terms.of(np.flatnonzero((number >= mine.start) & (number < mine.stop)))
        parts = table.pairs(self._place[terms.one], self._place[terms.other])
        parts *= terms.weight
        found = self._certain[mine] + np.bincount(
            terms.question - mine.start, parts, mine.stop - mine.start
        )
        starts = self._starts[begin : end + 1]
        self._between[self._nodes[starts[0] : starts[-1]]] = np.repeat(found, np.diff(starts))

    def _take_apart(self, begin: int, end: int) -> None:
        self._from, self._to = begin, end
        starts = range(begin, end, ASKED)
        certain = np.empty(end - begin)
        terms: dict[int, Terms] = {}

        def take(start: int, _: None) -> None:
            some = slice(start, min(start + ASKED, end))
            known, parts = self._questions.terms(self._asked[some], self._window[some])
            certain[start - begin : some.stop - begin] = known
            terms[start] = parts._replace(question=parts.question + np.int32(start - begin))

        self._workers.share(starts, take, [None] * self._workers.count)
        self._certain, self._terms = certain, together([terms[start] for start in starts])


class _Rows(NamedTuple):
    """Rows that are made together: whole groups of them."""

    groups: Ints
    parents: Ints  # (2, n) places
    share: Floats | None  # (n, 1) what comes from the first, where it is not half
    above: Ints  # (2, m) places of the parents of those parents who have no place of their own


def _mean(
    columns: Floats, rows: Ints, share: Floats | None, room: Floats, found: Floats | None = None
) -> Floats:
    """Of two rows each, (2, n), in these columns: (n, columns), made in `room` or in `found`."""
    one, other = room[0, : rows.shape[1]], room[1, : rows.shape[1]]
    columns.take(rows[0], axis=0, out=one, mode="clip")  # "raise" would copy
    columns.take(rows[1], axis=0, out=other, mode="clip")
    if found is None:
        found = one
    if share is None:
        np.add(one, other, out=found)
        found *= 0.5
    else:
        one *= share
        other *= 1 - share
        np.add(one, other, out=found)
    return found


class _Tiles:
    """The whole table; the columns of each group of places lie in one piece, a tile.

    A row is written as row and as column, so that what is read lies together: rows of parents, a
    tile at a time, which then stays in the processor's cache. Then comes the row of the unknown
    parent, kin to nobody, and those that parents who never enter have for the moment in which
    their young does. The system gives memory only when it is written to.
    """

    def __init__(self, levels: Levels, schedule: Schedule, workers: Workers) -> None:
        self._levels, self._place, self._workers = levels, schedule.place, workers
        self._size, count = schedule.group, schedule.groups
        self._nobody = self._size * count
        rows = self._nobody + 1 + schedule.passing
        self._cells = np.empty((count, rows, self._size))
        self._squares = self._cells[:, : self._nobody].reshape(count, count, self._size, self._size)
        room = 2, max(TOGETHER, self._size, schedule.passing), self._size
        self._rooms = [np.empty(room) for _ in range(workers.count)]
        workers.share(range(count), self._begin, self._rooms)

    def pairs(self, one: Ints, other: Ints) -> Floats:
        """Kinship of places that are taken, one by one."""
        found: Floats = self._cells[other // self._size, one, other % self._size]
        return found

    def among(self, nodes: Ints) -> Floats:
        """Kinship of nodes that are there with each other: (n, n)."""
        places = self._place[nodes]
        return self.pairs(places[:, None], places)

    def enter(self, window: Window, inbreeding: Floats) -> None:
        """All of a window, whose parents are there; `inbreeding` is their F."""
        parts = self._in_parts(window)
        for groups, is_new in ((window.live, False), (window.groups, True)):
            for rows in parts:
                self._workers.share(
                    [(group, rows, is_new) for group in groups.tolist()], self._fill, self._rooms
                )
        places = self._place[window.nodes]
        itself = (1 + inbreeding) / 2
        mixed = np.flatnonzero(self._levels.is_mixture[window.nodes])
        if len(mixed):
            share = self._levels.share[window.nodes[mixed]]
            one, other = self._places(self._levels.parents(window.nodes[mixed]))
            itself[mixed] = share * self.pairs(one, one) + (1 - share) * self.pairs(other, other)
        self._cells[places // self._size, places, places % self._size] = itself

    def _begin(self, group: int, _: object) -> None:
        """Whatever else is read was written before. The first to write waits for the memory."""
        self._cells[group, self._nobody] = 0

    def _fill(self, tile: tuple[int, _Rows, bool], room: Floats) -> None:
        """Rows in the columns of one group; and these as columns, unless they are new as well."""
        group, rows, is_new = tile
        columns = self._cells[group]
        passing = columns[self._nobody + 1 :][: rows.above.shape[1]]
        _mean(columns, rows.above, None, room, passing)
        squares = _mean(columns, rows.parents, rows.share, room)
        squares = squares.reshape(-1, self._size, self._size)
        self._squares[group][rows.groups] = squares
        if not is_new:
            self._squares[rows.groups, group] = squares.transpose(0, 2, 1)

    def _in_parts(self, window: Window) -> list[_Rows]:
        """Filled up to whole groups with young of nobody."""
        nodes, size = window.nodes, self._size
        filled = size * len(window.groups)
        parents = np.full((2, filled), UNKNOWN)
        parents[:, : len(nodes)] = self._levels.parents(nodes)
        share = None
        if self._levels.is_mixture[nodes].any():
            share = np.full((filled, 1), 0.5)
            share[: len(nodes), 0] = self._levels.share[nodes]
        found = []
        step = max(1, TOGETHER // size)
        for begin in range(0, len(window.groups), step):
            part = slice(begin * size, (begin + step) * size)
            places = self._places(parents[:, part])
            absent = places == NO_PLACE
            above = self._places(self._levels.parents(parents[:, part][absent]))
            places[absent] = self._nobody + 1 + np.arange(above.shape[1])
            groups = window.groups[begin : begin + step]
            found.append(_Rows(groups, places, None if share is None else share[part], above))
        return found

    def _places(self, nodes: Ints) -> Ints:
        places: Ints = np.where(nodes == UNKNOWN, self._nobody, self._place[nodes])
        return places
