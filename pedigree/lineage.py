"""The checked pedigree: rows in any order, kinship and inbreeding, ancestors and descendants."""

from collections.abc import Hashable, Iterable, Mapping, Sequence
from fractions import Fraction
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pedigree.errors import DuplicateAnimal, LineageError, LineageLoop, UnknownAnimal
from pedigree.nodes import NOBODY, Nodes, build_nodes

Row = Sequence[Any]


class Pedigree:
    """Animals with their parents, checked once at the door.

    An unknown parent counts as a distinct, unrelated, non-inbred founder, so every figure from
    incomplete ancestry is a lower bound.

    >>> ped = Pedigree.from_rows([("X", "S", "D"), ("D", "S", None), ("S", None, None)])
    >>> ped.ids, ped.kinship("S", "D"), float(ped.inbreeding()[0])
    (('X', 'D', 'S'), 0.25, 0.25)
    """

    def __init__(self, rows: tuple[tuple[Hashable, Any, Any, Any], ...]) -> None:
        self._rows = rows
        self.ids: tuple[Hashable, ...] = tuple(row[0] for row in rows)
        self._place = {animal: place for place, animal in enumerate(self.ids)}

    @classmethod
    def from_rows(cls, rows: Iterable[Row]) -> "Pedigree":
        """A pedigree from rows (id, sire, dam) or (id, sire, dam, litter), in any order.

        Ids are hashable and not None; None is an unknown parent. The sire may be a mapping
        {id: share} when several are possible; shares are above 0 and sum to at most 1, the rest
        is an unknown male. Rows with the same dam and the same litter share one uncertain or
        unknown sire; without a litter each young has its own.

        Raises DuplicateAnimal, UnknownAnimal, LineageLoop (all LineageErrors). Cost: linear.

        Source for uncertain sires: Henderson 1988, J Anim Sci 66:1614-1621.
        """
        checked = tuple(_checked_row(row) for row in rows)
        known: set[Hashable] = set()
        for animal, *_ in checked:
            if animal in known:
                raise DuplicateAnimal(animal)
            known.add(animal)
        for animal, sire, dam, _ in checked:
            for parent in (*_sires(sire), *([] if dam is None else [dam])):
                if parent not in known:
                    raise UnknownAnimal(parent, animal)
        pedigree = cls(checked)
        pedigree._nodes  # noqa: B018  (orders the animals, which finds a loop)
        return pedigree

    def with_rows(self, rows: Iterable[Row]) -> "Pedigree":
        """A new pedigree with more animals; raises as `from_rows` does.

        >>> Pedigree.from_rows([("S", None, None)]).with_rows([("X", "S", None)]).ids
        ('S', 'X')
        """
        return Pedigree.from_rows((*self._rows, *rows))

    def __contains__(self, animal: Hashable) -> bool:
        return animal in self._place

    def __len__(self) -> int:
        return len(self.ids)

    def sires(self, animal: Hashable) -> dict[Hashable, Fraction]:
        """The recorded sire with share 1, or the possible ones with theirs; empty: unknown."""
        sire = self._rows[self._index(animal)][1]
        return (
            dict(sire) if isinstance(sire, Mapping) else {} if sire is None else {sire: Fraction(1)}
        )

    def dam(self, animal: Hashable) -> Hashable | None:
        """The recorded dam, or None."""
        dam: Hashable | None = self._rows[self._index(animal)][2]
        return dam

    def _index(self, animal: Hashable) -> int:
        try:
            return self._place[animal]
        except (KeyError, TypeError):
            raise UnknownAnimal(animal) from None

    @cached_property
    def _order(self) -> list[int]:
        """Row numbers, parents before young; raises LineageLoop."""
        waiting = [0] * len(self._rows)
        young: list[list[int]] = [[] for _ in self._rows]
        for number, (_, sire, dam, _) in enumerate(self._rows):
            for parent in {*_sires(sire), *([] if dam is None else [dam])}:
                young[self._place[parent]].append(number)
                waiting[number] += 1
        ready = [number for number, count in enumerate(waiting) if count == 0]
        for number in ready:
            for one in young[number]:
                waiting[one] -= 1
                if waiting[one] == 0:
                    ready.append(one)
        if len(ready) < len(self._rows):
            raise LineageLoop(self._loop(waiting))
        return ready

    def _loop(self, waiting: list[int]) -> list[Hashable]:
        number = next(place for place, count in enumerate(waiting) if count)
        seen: dict[int, int] = {}
        chain: list[int] = []
        while number not in seen:
            seen[number] = len(chain)
            chain.append(number)
            _, sire, dam, _ = self._rows[number]
            parents = (*_sires(sire), *([] if dam is None else [dam]))
            number = next(self._place[one] for one in parents if waiting[self._place[one]])
        loop = chain[seen[number] :]
        return [self.ids[one] for one in [*loop, loop[0]]]

    @cached_property
    def _nodes(self) -> Nodes:
        return build_nodes(self._rows, self._order, self._place)

    def inbreeding(self) -> NDArray[np.float64]:
        """Wright's coefficient of inbreeding F of every animal, aligned with `ids`.

        Float64 (n,), from 0 to 1; exact for up to about 25 generations, since only additions and
        halvings occur. Cost: quadratic in the number of animals that have young.

        Source: Wright 1922, Am. Nat. 56:330-338; tabular method, Emik & Terrill 1949, J Hered
        40:51-55 (from memory).

        >>> rows = [("A", None, None), ("B", None, None), ("C", "A", "B"), ("D", "A", "B"),
        ...         ("E", "C", "D")]
        >>> Pedigree.from_rows(rows).inbreeding().tolist()
        [0.0, 0.0, 0.0, 0.0, 0.25]
        """
        nodes = self._nodes
        return np.array([nodes.inbreeding[nodes.of_row[place]] for place in range(len(self.ids))])

    def kinship(self, a: Hashable, b: Hashable) -> float:
        """Kinship of two animals: the chance that one gene drawn from each is the same by descent.

        It is also the inbreeding coefficient F of any young of the two. From 0 to 1; k(x, x) is
        (1 + F) / 2. Raises UnknownAnimal.

        Source: Malecot 1948 (kinship); Wright 1922, Am. Nat. 56:330-338 (F).

        >>> ped = Pedigree.from_rows([("A", None, None), ("B", None, None), ("C", "A", "B")])
        >>> ped.kinship("A", "C"), ped.kinship("A", "A"), ped.kinship("A", "B")
        (0.25, 0.5, 0.0)
        """
        nodes = self._nodes
        return nodes.kinship(nodes.of_row[self._index(a)], nodes.of_row[self._index(b)])

    def kinship_matrix(self, ids: Iterable[Hashable]) -> NDArray[np.float64]:
        """Kinship of each of `ids` with each: float64 (m, m), symmetric, from 0 to 1.

        Raises UnknownAnimal.
        """
        places = [self._nodes.of_row[self._index(one)] for one in ids]
        return self._nodes.matrix(places)

    def ancestors(self, animal: Hashable) -> frozenset[Hashable]:
        """Everyone the animal descends or may descend from, without itself."""
        found: set[Hashable] = set()
        ahead = [animal]
        self._index(animal)
        while ahead:
            _, sire, dam, _ = self._rows[self._place[ahead.pop()]]
            for parent in (*_sires(sire), *([] if dam is None else [dam])):
                if parent not in found:
                    found.add(parent)
                    ahead.append(parent)
        return frozenset(found)

    @cached_property
    def _young(self) -> dict[Hashable, list[Hashable]]:
        young: dict[Hashable, list[Hashable]] = {}
        for animal, sire, dam, _ in self._rows:
            for parent in {*_sires(sire), *([] if dam is None else [dam])}:
                young.setdefault(parent, []).append(animal)
        return young

    def descendants(self, animal: Hashable) -> frozenset[Hashable]:
        """Everyone that descends or may descend from the animal, without itself."""
        self._index(animal)
        found: set[Hashable] = set()
        ahead = [animal]
        while ahead:
            for one in self._young.get(ahead.pop(), ()):
                if one not in found:
                    found.add(one)
                    ahead.append(one)
        return frozenset(found)


def _sires(sire: Any) -> tuple[Hashable, ...]:
    return tuple(sire) if isinstance(sire, Mapping) else () if sire is None else (sire,)


def _checked_row(row: Row) -> tuple[Hashable, Any, Any, Any]:
    if len(row) not in (3, 4):
        raise LineageError(f"{row!r} is not a row: id, sire, dam and perhaps the litter.")
    animal, sire, dam = row[:3]
    litter = row[3] if len(row) == 4 else None
    if animal is None:
        raise LineageError("None is no id of an animal; it stands for an unknown parent.")
    if isinstance(sire, Mapping):
        sire = {one: Fraction(share) for one, share in sire.items()}
        total = sum(sire.values(), Fraction(0))
        if any(share <= 0 for share in sire.values()) or total > 1:
            listed = ", ".join(f"{one} {share}" for one, share in sire.items())
            raise LineageError(
                f"The possible sires of {animal} ({listed}) need shares above 0 that sum to at "
                "most 1."
            )
        if len(sire) == 1 and total == 1:
            sire = next(iter(sire))
        elif not sire:
            sire = None
    return animal, sire, dam, litter


__all__ = ["NOBODY", "Pedigree"]
