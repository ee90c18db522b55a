"""Mean kinship and gene diversity of the living, and what a litter would change."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pedigree.errors import DuplicateAnimal, LineageError, UnknownAnimal
from pedigree.kinship.columns import Columns, mendelian_sampling
from pedigree.layout import Layout
from pedigree.pedigree import Pedigree
from pedigree.rows import Floats, Ints


def mean_kinship(ped: Pedigree, living: Iterable[Any]) -> Floats:
    """Mean kinship of each of the living with all of them, itself included: (m,), 0 to 1.

    Aligned with `living`. The lower, the rarer its genes. Raises UnknownAnimal, DuplicateAnimal.
    Cost: linear in their ancestors, once F is known.

    Source: Ballou & Lacy 1995, in Population Management for Survival and Recovery, 76-111.

    >>> ped = Pedigree.from_rows([("Altair", None, None), ("Vega", None, None),
    ...                           ("Mira", "Altair", "Vega")])
    >>> mean_kinship(ped, ["Altair", "Mira"]).tolist()
    [0.375, 0.375]
    """
    nodes = nodes_of(ped, living, ped._kin)
    if not len(nodes):
        return np.empty(0)
    levels = ped._kin.levels(ped._kin.closure(nodes))
    known = ped._of_nodes()
    new = mendelian_sampling(levels, known.between[levels.node], known.own[levels.node])
    places = levels.place[nodes]
    vector = np.zeros((len(levels.first) + 1, 1))
    vector[places] = 1 / len(nodes)
    means: Floats = Columns(levels, new).multiply(vector)[places, 0]
    return means


def gene_diversity(ped: Pedigree, living: Iterable[Any]) -> float:
    """Gene diversity of the living, 1 - their mean kinship: 0 to 1, relative to the founders.

    The chance that two genes drawn at random from the living, the same one twice allowed, are not
    the same by descent. Raises LineageError for nobody.

    Source: Lacy 1995, Zoo Biol. 14:565-577.

    >>> ped = Pedigree.from_rows([("Altair", None, None), ("Vega", None, None)])
    >>> gene_diversity(ped, ["Altair", "Vega"])
    0.75
    """
    return 1 - float(_mean(mean_kinship(ped, living)))


def _mean(values: Floats) -> float:
    if not len(values):
        raise LineageError("The living are nobody; at least one animal is needed.")
    return float(values.mean())


def nodes_of(ped: Pedigree, living: Iterable[Any], layout: Layout | None = None) -> Ints:
    """Nodes of these animals in a layout: as recorded, where none is given.

    Raises UnknownAnimal, and DuplicateAnimal for one twice.
    """
    rows = [ped.row(animal) for animal in living]
    if len(set(rows)) < len(rows):
        seen: set[int] = set()
        raise DuplicateAnimal(next(ped.ids[row] for row in rows if row in seen or seen.add(row)))  # type: ignore[func-returns-value]
    return (layout or ped._layout).node_of_row[np.array(rows, np.int64)]


@dataclass(frozen=True)
class AfterLitter:
    """What a litter would change; numbers, or arrays when many pairs were asked at once."""

    inbreeding: Any  # F of the young
    mean_kinship: Any  # of the living and the young, self included
    gene_diversity: Any  # 1 - mean kinship


class LivingKinship:
    """Kinship of the living with each other, kept ready for questions about litters.

    `after_litter` takes constant time for a pair and array time for all pairs; `with_litter` takes
    time in proportion to the living. Never changes: a litter makes a new one.

    >>> ped = Pedigree.from_rows([("Altair", None, None), ("Vega", None, None)])
    >>> living = LivingKinship.of(ped, ["Altair", "Vega"])
    >>> living.after_litter("Altair", "Vega", 2).gene_diversity
    0.71875
    >>> grown = living.with_litter(["Mira", "Deneb"], "Altair", "Vega")
    >>> grown.kinship("Mira", "Deneb"), grown.gene_diversity
    (0.25, 0.71875)
    """

    def __init__(self, ids: tuple[Any, ...], room: Floats, sums: Floats) -> None:
        """Use `of`. `room` may be larger than the living; the rest is for young."""
        self.ids = ids
        self._place = {animal: place for place, animal in enumerate(ids)}
        self._room = room
        self._sums = sums
        self._total = float(sums.sum())
        self._filled = [len(ids)]  # shared by all who use the same room

    @classmethod
    def of(cls, ped: Pedigree, living: Sequence[Any]) -> "LivingKinship":
        """From a pedigree. Cost: that of `Pedigree.kinship_matrix`."""
        nodes_of(ped, living)
        matrix = ped.kinship_matrix(living)
        return cls(tuple(living), matrix, matrix.sum(axis=1))

    @property
    def matrix(self) -> Floats:
        """Kinship of the living, float64 (m, m); not to be written to."""
        return self._room[: len(self.ids), : len(self.ids)]

    @property
    def mean_kinship(self) -> Floats:
        """Of each of the living with all, itself included: (m,)."""
        return self._sums / len(self.ids)

    @property
    def gene_diversity(self) -> float:
        """1 - mean kinship."""
        return 1 - self._total / len(self.ids) ** 2

    def kinship(self, a: Any, b: Any) -> float:
        """Kinship of two of the living."""
        return float(self._room[self._at(a), self._at(b)])

    def _at(self, animal: Any) -> int:
        try:
            place = self._place[animal]
        except (KeyError, TypeError):
            raise UnknownAnimal(animal) from None
        if place >= len(self.ids):  # one of the young that only a later state has
            raise UnknownAnimal(animal)
        return place

    def after_litter(self, sire: Any, dam: Any, young: int = 1) -> AfterLitter:
        """F of `young` young of these two, and the diversity when they join the living.

        Constant time. The young are full sibs: kin (K_ss + K_dd + 2 K_sd)/4 to each other,
        (1 + F)/2 to themselves.

        >>> ped = Pedigree.from_rows([("Altair", None, None), ("Vega", None, None)])
        >>> LivingKinship.of(ped, ["Altair", "Vega"]).after_litter("Altair", "Vega").inbreeding
        0.0
        """
        s, d = self._at(sire), self._at(dam)
        room = self._room
        if young < 0:
            raise LineageError(f"A litter has 0 or more young, not {young}.")
        inbreeding = room.item(s, d)
        between = (room.item(s, s) + room.item(d, d) + 2 * inbreeding) / 4
        total = (
            self._total
            + young * (self._sums.item(s) + self._sums.item(d))
            + young * (1 + inbreeding) / 2
            + young * (young - 1) * between
        )
        mean = total / (len(self.ids) + young) ** 2
        return AfterLitter(inbreeding, mean, 1 - mean)

    def after_litters(
        self, sires: Sequence[Any], dams: Sequence[Any], young: int = 1
    ) -> AfterLitter:
        """The same for every sire with every dam: arrays (sires, dams)."""
        s = np.array([self._at(one) for one in sires], np.int64)
        d = np.array([self._at(one) for one in dams], np.int64)
        own = self._room.diagonal()
        inbreeding = self._room[s[:, None], d]
        between = (own[s][:, None] + own[d] + 2 * inbreeding) / 4
        total = (
            self._total
            + young * (self._sums[s][:, None] + self._sums[d])
            + young * (1 + inbreeding) / 2
            + young * (young - 1) * between
        )
        mean = total / (len(self.ids) + young) ** 2
        return AfterLitter(inbreeding, mean, 1 - mean)

    def with_litter(self, ids: Sequence[Any], sire: Any, dam: Any) -> "LivingKinship":
        """The living together with these young of two of them.

        Cost: young times living; now and then a copy of the whole, when the room is used up.
        """
        s, d = self._at(sire), self._at(dam)
        m, k = len(self.ids), len(ids)
        for animal in ids:
            if self._place.get(animal, m) < m or ids.count(animal) > 1:
                raise DuplicateAnimal(animal)
        room, place, filled = self._room, self._place, self._filled
        if len(room) < m + k or filled[0] != m:  # full, or the place is taken by another litter
            room = np.empty((m + k + (m + k) // 4 + 8,) * 2)
            room[:m, :m] = self.matrix
            place, filled = dict(zip(self.ids, range(m), strict=True)), [m]
        filled[0] = m + k
        place.update(zip(ids, range(m, m + k), strict=True))
        row = (room[s, :m] + room[d, :m]) / 2
        inbreeding = room[s, d]
        room[m : m + k, :m] = row
        room[:m, m : m + k] = row[:, None]
        among = room[m : m + k, m : m + k]
        among[:] = (room[s, s] + room[d, d] + 2 * inbreeding) / 4
        np.fill_diagonal(among, (1 + inbreeding) / 2)
        sums = np.empty(m + k)
        sums[:m] = self._sums + k * row
        sums[m:] = row.sum() + among.sum(axis=1)
        grown = LivingKinship.__new__(LivingKinship)
        grown.ids = self.ids + tuple(ids)
        grown._room, grown._place, grown._sums, grown._filled = room, place, sums, filled
        grown._total = float(sums.sum())
        return grown
