"""The tabular method on a moving front: kinship of the animals that still become parents."""

import itertools
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from pedigree.layout import Levels
from pedigree.rows import UNKNOWN, Floats, Ints

Numbers = npt.NDArray[Any]  # float64, or exact Python numbers as objects

BLOCK = 128  # animals that enter together: their rows stay in the processor's cache
NEVER = -1


class Front:
    """Who is in the table when: entered at birth (founders: before first use), left after last use.

    Childless animals never enter, unless they are to be kept; nor do those without young that
    breed. Nobody who breeds stems from the latter, so the kinship of one of them with a mate is
    the mean of its parents' kinships with the mate: they are *replaced* by their parents.
    Cost: linear.
    """

    def __init__(self, levels: Levels, keep: Ints) -> None:
        size = len(levels.first)
        first, second = levels.first, levels.second
        breeds = np.zeros(size + 1, np.bool_)
        breeds[first] = breeds[second] = True
        enters = levels.is_mixture.copy()
        enters[keep] = True
        breeds[keep] = True
        breeds[UNKNOWN] = False
        for parent in (first, second):
            young_breed = parent[breeds[:-1] & (parent != UNKNOWN)]
            enters[young_breed] = True
        enters[first[(first == second) & (first != UNKNOWN)]] = True  # selfed: kin to itself
        itself = np.arange(size + 1)
        itself[UNKNOWN] = UNKNOWN
        replaced = np.append(~enters, False)
        one, other = itself.copy(), itself
        one[replaced] = first[replaced[:-1]]
        other[replaced] = second[replaced[:-1]]
        # (4, nodes): for the first and for the second parent, who stands for it in the table.
        self.stems = np.stack([one[first], other[first], one[second], other[second]])

        level = levels.level()
        last = np.full(size + 1, NEVER)
        first_use = np.full(size + 1, len(levels.starts))
        for stem in self.stems:  # levels ascend, so of several assignments the highest stays
            highest, lowest = np.full(size + 1, NEVER), np.full(size + 1, len(levels.starts))
            highest[stem] = level
            lowest[stem[::-1]] = level[::-1]
            last, first_use = np.maximum(last, highest), np.minimum(first_use, lowest)
        both = (self.stems[0] != self.stems[1]) | (self.stems[2] != self.stems[3])
        self.replaces = np.bincount(level[both], minlength=len(levels.starts)) > 0
        last[keep] = len(levels.starts)
        founder = (first == UNKNOWN) & (second == UNKNOWN)
        born = level.copy()
        born[founder] = np.maximum(first_use[:-1][founder] - 1, 0)
        born = np.minimum(born, max(len(levels.starts) - 2, 0))
        self.entering = _by_level(born, enters, len(levels.starts))
        self.leaving = _by_level(last[:-1], enters, len(levels.starts))
        entered = np.array([len(part) for part in self.entering])
        left = np.array([len(part) for part in self.leaving])
        self.active = np.cumsum(entered) - np.cumsum(left) + left  # while the level is worked on
        self.cost = int(np.sum(entered * self.active))
        self.peak = int(self.active.max(initial=0))


def _by_level(when: Ints, used: npt.NDArray[np.bool_], levels: int) -> list[Ints]:
    nodes = np.flatnonzero(used)
    nodes = nodes[np.argsort(when[nodes], kind="stable")]
    cuts = np.searchsorted(when[nodes], np.arange(levels + 1))
    return [nodes[a:b] for a, b in itertools.pairwise(cuts.tolist())]


@dataclass(frozen=True)
class Table:
    """What the tabular method finds: of every node, and among the nodes kept."""

    between: Numbers  # (nodes,) kinship of the two a node stems from: F of an animal
    own: Numbers  # (nodes,) kinship with itself
    kept: Numbers  # (m, m) kinship of the nodes to keep


def tabular(
    levels: Levels,
    keep: Ints,
    front: Front | None = None,
    *,
    numbers: Literal["float", "integer", "fraction"] = "float",
    unit: Floats | None = None,
) -> Table:
    """F of every node and the kinship of the nodes to keep.

    `keep` are places in `levels`, each at most once. Float64: only sums and halvings, so exact to
    about 25 generations. "integer": exact, for pedigrees without mixtures; "fraction": exact,
    slower. `unit` (nodes,) stands for the 1 in the kinship of an animal with itself, (1 + F)/2: the
    part of its genes from one founder gives the kinship through that founder (floats only).

    Cost: for every animal that becomes a parent, the number of those in the table with it, so
    quadratic in the breeders of a generation and linear in generations; memory the square of the
    largest front.

    Source: Emik & Terrill 1949, J. Hered. 40:51-55; Henderson 1976, Biometrics 32:69-83.
    """
    front = front or Front(levels, keep)
    scale = Scale(levels, numbers)
    size = len(levels.first)
    ones: Any = scale.one if unit is None else unit
    between = scale.zeros(size)
    own = scale.zeros(size)
    table = _Table(levels, front, scale)
    stems = front.stems
    for level, (begin, end) in enumerate(levels.slices()):
        if level:
            a, b, x, y = table.place[stems[:, begin:end]]
            total = table.cells[a, x]
            total += table.cells[b, y]
            if front.replaces[level]:
                total += table.cells[a, y]
                total += table.cells[b, x]
                total = scale.half(total)
            between[begin:end] = scale.half(total)
        if front.entering[level].size:
            table.enter(front.entering[level], between, ones, own)
        if front.leaving[level].size:
            table.leave(front.leaving[level])
    animals = ~levels.is_mixture
    own[animals] = scale.half(between[animals] + (ones if unit is None else ones[animals]))
    kept = table.place[keep]
    return Table(scale.out(between), scale.out(own), scale.out(table.cells[kept[:, None], kept]))


class _Table:
    """The kinship of those in the front; place 0 is the unknown parent, kin to nobody.

    Animals of one level stand side by side, so that whole stretches of memory are written. When
    the room is used up, those that have left are squeezed out.
    """

    def __init__(self, levels: Levels, front: Front, scale: "Scale") -> None:
        self._levels, self._scale = levels, scale
        self._has_mixtures = bool(levels.is_mixture.any())
        room = 33 + front.peak + max(front.peak // 8, min(3 * front.peak, 500))
        self.cells = scale.zeros((room, room))
        self.place = np.zeros(len(levels.first) + 1, np.int64)
        self._node = np.zeros(room, np.int64)  # who came to a place last
        self._node[0] = len(levels.first)
        self._top = 1

    def enter(self, nodes: Ints, between: Numbers, ones: Any, own: Numbers) -> None:
        """Add animals of one level: their rows are the mean of their parents' rows.

        Writes the kinship of mixtures with themselves into `own`.
        """
        if self._top + len(nodes) > len(self.cells):
            self._squeeze()
        levels, scale, cells = self._levels, self._scale, self.cells
        for start in range(0, len(nodes), BLOCK):
            block = nodes[start : start + BLOCK]
            begin, end = self._top, self._top + len(block)
            one, other = self.place[levels.first[block]], self.place[levels.second[block]]
            itself = scale.half(between[block] + (ones[block] if np.ndim(ones) else ones))
            known = cells[:, :begin]
            if self._has_mixtures and levels.is_mixture[block].any():
                share, rest = scale.shares(levels, block)
                rows = share[:, None] * known[one] + rest[:, None] * known[other]
                among = share * rows[:, one] + rest * rows[:, other]
                mixed = share * cells[one, one] + rest * cells[other, other]
                is_mixture = levels.is_mixture[block]
                itself[is_mixture] = own[block[is_mixture]] = mixed[is_mixture]
            else:
                rows = known[one]
                rows += known[other]
                rows = scale.half(rows)
                among = scale.half(rows[:, one] + rows[:, other])
            among.flat[:: len(block) + 1] = itself
            cells[begin:end, :begin] = rows
            cells[:begin, begin:end] = rows.T
            cells[begin:end, begin:end] = among
            self.place[block] = np.arange(begin, end)
            self._node[begin:end] = block
            self._top = end

    def leave(self, nodes: Ints) -> None:
        self.place[nodes] = 0

    def _squeeze(self) -> None:
        nodes = self._node[: self._top]
        stay = np.flatnonzero(self.place[nodes] == np.arange(self._top))
        top = len(stay)
        for begin in range(0, top, BLOCK):  # in blocks, for a copy of the whole would cost memory
            part = stay[begin : begin + BLOCK]
            self.cells[begin : begin + len(part), :top] = self.cells[part].take(stay, axis=1)
        self._node[:top] = nodes[stay]
        self.place[self._node[:top]] = np.arange(top)
        self._top = top


class Scale:
    """The numbers of a table: float64, integers in units of a power of 1/2, or fractions."""

    def __init__(self, levels: Levels, numbers: Literal["float", "integer", "fraction"]) -> None:
        self._numbers = numbers
        self.one: Any = 1.0
        if numbers == "integer":
            self.one = 1 << (2 * len(levels.starts))
        elif numbers == "fraction":
            self.one = Fraction(1)

    def zeros(self, shape: int | tuple[int, int]) -> Numbers:
        if self._numbers == "float":
            return np.zeros(shape)
        return np.full(shape, 0 if self._numbers == "integer" else Fraction(0), dtype=object)

    def half(self, numbers: Any) -> Any:
        """Half of them, in place where that can be."""
        if self._numbers == "float":
            numbers *= 0.5
            return numbers
        return numbers >> 1 if self._numbers == "integer" else numbers / 2

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
