"""Mean kinship and gene diversity of the living, and what a litter would change."""

from collections.abc import Iterable, Mapping, Sequence
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
    animals = list(living)
    return kinship_sums(ped, animals, [animals])[:, 0] / max(len(animals), 1)


def kinship_sums(ped: Pedigree, animals: Iterable[Any], among: Sequence[Sequence[Any]]) -> Floats:
    """Sums of the kinship of each animal with all of a group, for each group: (m, groups), 0 or
    more; an animal of the group counts with itself.

    Raises UnknownAnimal, DuplicateAnimal. Cost: linear in the ancestors of all of them, once F is
    known; no table of all with all is made.

    Source: Colleau 2002, Genet. Sel. Evol. 34:409-421 (products of the relationship matrix with a
    vector, without the matrix).

    >>> ped = Pedigree.from_rows([("Altair", None, None), ("Vega", None, None),
    ...                           ("Mira", "Altair", "Vega")])
    >>> kinship_sums(ped, ["Mira"], [["Altair", "Vega"], ["Mira"]]).tolist()
    [[0.5, 0.5]]
    """
    nodes = nodes_of(ped, animals, ped._kin)
    if not len(nodes):
        return np.empty((0, len(among)))
    groups = [nodes_of(ped, some, ped._kin) for some in among]
    levels = ped._kin.levels(ped._kin.closure(np.unique(np.concatenate([nodes, *groups]))))
    known = ped._of_nodes()
    new = mendelian_sampling(levels, known.between[levels.node], known.own[levels.node])
    vectors = np.zeros((len(levels.first) + 1, len(among)))
    for at, group in enumerate(groups):
        vectors[levels.place[group], at] = 1
    sums: Floats = Columns(levels, new).multiply(vectors)[levels.place[nodes]]
    return sums


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


def _after(counts: tuple[float, int, int], sums: Any, own: Any, inbreeding: Any) -> AfterLitter:
    """counts: the sum of kinship over the living, how many they are, and the young. sums, own: of
    sire and dam together, with all the living and with themselves; inbreeding: between the two."""
    total, living, young = counts
    between = (own + 2 * inbreeding) / 4
    total = total + young * sums + young * (1 + inbreeding) / 2 + young * (young - 1) * between
    mean = total / (living + young) ** 2
    return AfterLitter(inbreeding, mean, 1 - mean)


def after_litter_among(
    ped: Pedigree, means: Mapping[Any, float], sire: Any, dam: Any, young: int
) -> AfterLitter:
    """What `LivingKinship.after_litter` says, without a table of kinship.

    means: `mean_kinship` of each of the living, the two among them. Constant time but for the
    kinship of the two.

    >>> ped = Pedigree.from_rows([("Altair", None, None), ("Vega", None, None)])
    >>> after_litter_among(ped, {"Altair": 0.25, "Vega": 0.25}, "Altair", "Vega", 2).gene_diversity
    0.71875
    """
    number = len(means)
    return _after(
        (sum(means.values()) * number, number, young),
        (means[sire] + means[dam]) * number,
        ped.kinship(sire, sire) + ped.kinship(dam, dam),
        ped.kinship(sire, dam),
    )


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
        return _after(
            (self._total, len(self.ids), young),
            self._sums.item(s) + self._sums.item(d),
            room.item(s, s) + room.item(d, d),
            room.item(s, d),
        )

    def after_litters(
        self, sires: Sequence[Any], dams: Sequence[Any], young: int = 1
    ) -> AfterLitter:
        """The same for every sire with every dam: arrays (sires, dams)."""
        s = np.array([self._at(one) for one in sires], np.int64)
        d = np.array([self._at(one) for one in dams], np.int64)
        own = self._room.diagonal()
        return _after(
            (self._total, len(self.ids), young),
            self._sums[s][:, None] + self._sums[d],
            own[s][:, None] + own[d],
            self._room[s[:, None], d],
        )

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
