"""Tables of kinship that animals enter with the mean of their parents' rows: whole or half."""

import itertools
from fractions import Fraction
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from pedigree.layout import Levels
from pedigree.rows import Ints

Numbers = npt.NDArray[Any]  # float64, or exact Python numbers as objects

STRIP = 64  # rows that lie in one piece
TOGETHER = 512  # animals that enter at once


class Scale:
    """The numbers of a table: float64, integers in units of a power of 1/2, or fractions.

    Integers alone need to know how many levels there are.
    """

    def __init__(
        self, levels: Levels | None, numbers: Literal["float", "integer", "fraction"]
    ) -> None:
        self._numbers = numbers
        self.is_float = numbers == "float"
        self.one: Any = 1.0
        if numbers == "integer":
            self.one = 1 << (2 * len(levels.starts) if levels else 0)
        elif numbers == "fraction":
            self.one = Fraction(1)

    def zeros(self, shape: int | tuple[int, int]) -> Numbers:
        if self._numbers == "float":
            return np.zeros(shape)
        return np.full(shape, 0 if self._numbers == "integer" else Fraction(0), dtype=object)

    def halved(self, numbers: Any, times: int = 1) -> Any:
        """Half of them so many times over, in place where that can be."""
        if self._numbers == "float":
            numbers *= 0.5**times
            return numbers
        return numbers >> times if self._numbers == "integer" else numbers / 2**times

    def shares(self, levels: Levels, nodes: Ints) -> tuple[Numbers, Numbers]:
        """What comes from `first`, and the rest."""
        share: Numbers = levels.share[nodes]
        if self._numbers != "float":
            exact = [levels.exact_shares.get(node, Fraction(1, 2)) for node in nodes.tolist()]
            share = np.array(exact, dtype=object)
        return share, 1 - share

    def out(self, numbers: Numbers) -> Numbers:
        """As float64, or as fractions."""
        if self._numbers != "integer":
            return numbers
        flat = [Fraction(number, self.one) for number in numbers.ravel().tolist()]
        exact = np.empty(len(flat), dtype=object)
        exact[:] = flat
        return exact.reshape(numbers.shape)


class Descent:
    """How rows of young are made of the rows of those who stand for their parents.

    `stands` (k, 2, n) are places of those who stand for the first parent and for the second: the
    parent itself (k = 1), or two (k = 2). `share` (n,) is what comes from the first; half when it
    is None.
    """

    def __init__(self, stands: Ints, share: Numbers | None, scale: Scale) -> None:
        self.stands = stands
        self._share, self._scale = share, scale
        self._doubled: Ints | tuple[()] = ()  # few: of most young both parents are there
        if len(stands) > 1:
            self._doubled = np.flatnonzero((stands[0] != stands[1]).any(axis=0))

    def numbered_anew(self) -> tuple[Ints, "Descent"]:
        """Whose rows are needed, ascending, and the same with positions among these."""
        needed, which = np.unique(self.stands, return_inverse=True)
        return needed, Descent(which, self._share, self._scale)

    def rows(self, known: Numbers) -> Numbers:
        """Rows of the young (n, columns) from the rows `known`."""
        stands, halved = self.stands, self._scale.halved
        if self._share is not None:
            mean = halved(sum(known[who] for who in stands), len(stands) - 1)
            share = self._share[:, None]
            mixed: Numbers = share * mean[0] + (1 - share) * mean[1]
            return mixed
        rows = known.take(stands[0, 0], axis=0)
        rows += known.take(stands[0, 1], axis=0)
        if len(self._doubled):
            more = known.take(stands[1, 0, self._doubled], axis=0)
            more += known.take(stands[1, 1, self._doubled], axis=0)
            rows[self._doubled] = halved(rows[self._doubled] + more)
        half: Numbers = halved(rows)
        return half


class Square:
    """The whole table: quick while it fits into the processor's cache.

    Place 0 is the unknown parent, kin to nobody. An animal that leaves makes room for another.
    """

    def __init__(self, most: int, scale: Scale) -> None:
        self._cells = scale.zeros((most + 1, most + 1))
        self._free = list(range(most, 0, -1))
        self.together = most

    def pairs(self, one: Ints, other: Ints) -> Numbers:
        """Kinship of places, one by one."""
        found: Numbers = self._cells[one, other]
        return found

    def among(self, places: Ints) -> Numbers:
        """Kinship of places with each other: (n, n)."""
        found: Numbers = self._cells[places[:, None], places]
        return found

    def enter(self, descent: Descent, itself: Numbers) -> Ints:
        """Places for animals whose parents are there; none is another's parent.

        `itself` is their kinship with themselves.
        """
        places = np.array(sorted(self._free[-len(itself) :]))
        del self._free[-len(itself) :]
        rows = descent.rows(self._cells)
        among = descent.rows(rows.T.copy())
        among.flat[:: len(places) + 1] = itself
        rows[:, places] = among
        self._cells[places] = rows
        self._cells[:, places] = rows.T
        return places

    def leave(self, places: Ints) -> None:
        """These places are free again."""
        self._free.extend(places.tolist())

    def squeezed(self, more: int) -> Ints | None:
        """There is always room, so nobody moves."""


class Strips:
    """Half of the table, for kinship is symmetric: rows that end with the strip they lie in.

    A strip is STRIP rows; it ends with the square where these meet each other, which is whole.
    Those who enter are put behind the others, so that memory is read and written in long pieces;
    when the room is used up, those that have left are squeezed out. Place 0 is as in a Square.
    """

    together = TOGETHER

    def __init__(self, most: int) -> None:
        self._room = 1 + most + most // 6
        count = -(-self._room // STRIP)
        length = STRIP * np.arange(1, count + 1)
        ends = np.cumsum(length * STRIP)
        self._cells = np.zeros(ends[-1])  # the system gives memory only when it is written to
        self._pieces = self._cells.reshape(-1, STRIP)
        self._strips = [
            self._cells[end - STRIP * width : end].reshape(STRIP, width)
            for end, width in zip(ends.tolist(), length.tolist(), strict=True)
        ]
        # Where the row of a place begins.
        self._begin = np.concatenate(
            [end - width * np.arange(STRIP, 0, -1) for end, width in zip(ends, length, strict=True)]
        )
        self._stays = np.zeros(count * STRIP, np.bool_)
        self._stays[0] = True
        self._top = 1

    def pairs(self, one: Ints, other: Ints) -> Numbers:
        """Kinship of places, one by one."""
        found: Numbers = self._cells[self._begin[np.maximum(one, other)] + np.minimum(one, other)]
        return found

    def among(self, places: Ints) -> Numbers:
        """Kinship of places with each other: (n, n)."""
        found = np.empty((len(places), len(places)))
        for row, place in enumerate(places):
            found[row] = self.pairs(place, places)
        return found

    def enter(self, descent: Descent, itself: Numbers) -> Ints:
        """As in a Square; there must be room.

        By tiles of STRIP columns: what is worked on then stays in the processor's cache.
        """
        begin, end = self._top, self._top + len(itself)
        places = np.arange(begin, end)
        first_piece = self._begin // STRIP
        parents, descent = descent.numbered_anew()
        known = np.empty((len(parents), STRIP))
        with_parents = np.empty((len(parents), len(places)))
        tiles = range(-(-begin // STRIP))
        cuts = np.searchsorted(parents, STRIP * np.arange(len(tiles) + 1)).tolist()
        for tile, (older, after) in zip(tiles, itertools.pairwise(cuts), strict=True):
            # The rows of parents older than the tile lie in its strip, upright.
            known[:older] = self._strips[tile].take(parents[:older], axis=1).T
            at = first_piece[parents[older:]] + tile
            self._pieces.take(at, axis=0, out=known[older:], mode="clip")  # "raise" would copy
            rows = descent.rows(known)
            with_parents[older:after] = rows[:, parents[older:after] - tile * STRIP].T
            self._pieces[first_piece[begin:end] + tile] = rows
        among = descent.rows(with_parents)
        among.flat[:: len(places) + 1] = itself
        for number in range(begin // STRIP, -(-end // STRIP)):
            strip, left = self._strips[number], number * STRIP
            low, high = max(begin, left), min(end, left + STRIP)
            strip[low - left : high - left, begin:high] = among[
                low - begin : high - begin, : high - begin
            ]
            if left < begin:
                strip[: begin - left, begin:high] = strip[begin - left : high - left, left:begin].T
        self._stays[begin:end] = True
        self._top = end
        return places

    def leave(self, places: Ints) -> None:
        """These places are not needed any more."""
        self._stays[places] = False

    def squeezed(self, more: int) -> Ints | None:
        """The new place of every place, if room for `more` had to be made."""
        if self._top + more <= self._room:
            return None
        stay = np.flatnonzero(self._stays[: self._top])
        begin = self._begin.tolist()
        for new, old in enumerate(stay.tolist()):
            if new < old:
                row = self._cells[begin[old] : begin[old] + old + 1].take(stay[: new + 1])
                self._cells[begin[new] : begin[new] + new + 1] = row
        for strip in self._strips[: -(-len(stay) // STRIP)]:
            square = np.tril(strip[:, -STRIP:])
            strip[:, -STRIP:] = square + np.tril(square, -1).T
        place = np.zeros(self._top, np.int64)
        place[stay] = np.arange(len(stay))
        self._top = len(stay)
        self._stays[:] = False
        self._stays[: self._top] = True
        return place
