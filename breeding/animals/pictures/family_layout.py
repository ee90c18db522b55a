"""Where each animal of a family tree stands: newest at the bottom, each ancestor once; pure.

Columns and rows are counted, not measured. Row 0 is the animal itself; an ancestor that stands in
several places of the tree stands in one: as high as its oldest place, in the column of its
nearest, which nobody else of the tree uses between the two.
"""

from collections.abc import Hashable
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from pedigree import Pedigree


@dataclass(frozen=True)
class Missing:
    """The parent nobody wrote down, where the other one is known."""

    young: Hashable
    role: str


@dataclass(frozen=True)
class Place:
    """The middle of a node, in columns from the left, and its row above the animal."""

    column: float
    row: int


@dataclass(frozen=True)
class Union:
    """Two that have young in the tree, or might have: a possible sire's line is dashed."""

    left: Hashable
    right: Hashable
    young: tuple[Hashable, ...]
    is_kin: bool = False
    is_certain: bool = True


@dataclass
class FamilyLayout:
    places: dict[Hashable, Place] = field(default_factory=dict)
    unions: list[Union] = field(default_factory=list)
    columns: float = 0

    @property
    def rows(self) -> int:
        return 1 + max(place.row for place in self.places.values())


def lay_out(ped: Pedigree, animal: Any, generations: int) -> FamilyLayout:
    """The tree of an animal over so many generations. Cost: the ancestors in them, and kinship
    of each pair.

    >>> ped = Pedigree.from_rows([("X", "S", "D"), ("S", None, None), ("D", None, None)])
    >>> found = lay_out(ped, "X", 3)
    >>> [(name, place.column, place.row) for name, place in found.places.items()]
    [('X', 1.0, 0), ('S', 0.5, 1), ('D', 1.5, 1)]
    """
    return _Laying(ped, animal, generations).layout()


class _Laying:
    def __init__(self, ped: Pedigree, animal: Any, generations: int) -> None:
        self.ped, self.animal = ped, animal
        self.parents: dict[Hashable, list[Hashable]] = {}
        self.slots: dict[Hashable, list[float]] = {animal: [0.5]}
        self.nearest: dict[Hashable, int] = {animal: 0}
        self._find(generations)
        self.rows = self._oldest_rows()
        self.hung: set[Hashable] = {animal}  # whose column is given away
        self.found = FamilyLayout()

    def _find(self, generations: int) -> None:
        """Everybody over so many generations, and the slots of a full tree that each stands in."""
        level: list[tuple[Hashable, float]] = [(self.animal, 0.5)]
        for generation in range(1, generations + 1):
            above = []
            for young, slot in level:
                shown = self.parents.setdefault(young, self._shown(young))
                step = 1 / len(shown) if shown else 0
                for number, parent in enumerate(shown):
                    width = 0.5 ** (generation - 1)
                    place = slot - width / 2 + width * step * (number + 0.5)
                    self.slots.setdefault(parent, []).append(place)
                    self.nearest.setdefault(parent, generation)
                    above.append((parent, place))
            level = above

    def _shown(self, young: Hashable) -> list[Hashable]:
        """Sire or possible sires, then dam; who is unknown has a place when the other is known."""
        if isinstance(young, Missing):
            return []
        sires, dam = self.ped.sires(young), self.ped.dam(young)
        if not sires and dam is None:
            return []
        left: list[Hashable] = list(sires)
        if not sires or sum(sires.values()) != 1:
            left.append(Missing(young, "sire"))
        return [*left, Missing(young, "dam") if dam is None else dam]

    def _oldest_rows(self) -> dict[Hashable, int]:
        rows = dict.fromkeys(self.nearest, 0)
        for _ in rows:  # an ancestor is above all of its young; no line is longer than the tree
            changed = False
            for young, parents in self.parents.items():
                for parent in parents:
                    if rows[parent] <= rows[young]:
                        rows[parent], changed = rows[young] + 1, True
            if not changed:
                break
        return rows

    # ------------------------------------------------------------------------------- columns

    def layout(self) -> FamilyLayout:
        self.found.columns = self._hang(self.animal, 0.0)
        order = sorted(self.found.places, key=lambda one: self.found.places[one].row)
        self.found.places = {one: self.found.places[one] for one in order}
        self._join()
        return self.found

    def _hang(self, one: Hashable, left: float) -> float:
        """Give an animal and those above it their columns; returns how many it took."""
        shown = self.parents.get(one, [])
        wanted = [parent for parent in shown if parent not in self.hung]
        wanted = [parent for parent in wanted if self.nearest[parent] == self.nearest[one] + 1]
        self.hung.update(wanted)
        taken, middles = 0.0, []
        for parent in sorted(wanted, key=lambda parent: self._side(parent, one)):
            taken += self._hang(parent, left + taken)
            middles.append(self.found.places[parent].column)
        width = max(taken, 1.0)
        middle = (middles[0] + middles[-1]) / 2 if middles else left + width / 2
        self.found.places[one] = Place(middle, self.rows[one])
        return width

    def _side(self, parent: Hashable, young: Hashable) -> float:
        """Sire left, dam right; who has another mate in the tree stands on the mate's side."""
        mine = self.slots[parent]
        others = [slot for slot in mine[1:] if slot != mine[0]]
        return sum(others) / len(others) if others else mine[0]

    # --------------------------------------------------------------------------------- lines

    def _join(self) -> None:
        young_of: dict[tuple[Hashable, ...], list[Hashable]] = {}
        for young, shown in self.parents.items():
            if shown and young in self.found.places:
                young_of.setdefault(tuple(shown), []).append(young)
        for parents, all_young in young_of.items():
            ordered = sorted(parents, key=lambda one: self.found.places[one].column)
            is_certain = len(ordered) == 2
            for left, right in pairwise(ordered):
                is_kin = is_certain and self._are_kin(left, right)
                self.found.unions.append(Union(left, right, tuple(all_young), is_kin, is_certain))

    def _are_kin(self, one: Hashable, other: Hashable) -> bool:
        if isinstance(one, Missing) or isinstance(other, Missing):
            return False
        return bool(self.ped.are_related(one, other))
