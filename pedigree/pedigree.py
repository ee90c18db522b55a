"""The pedigree itself: who stems from whom, kinship and inbreeding."""

from collections.abc import Container, Hashable, Iterable, Sequence
from fractions import Fraction
from typing import Any

import numpy as np

from pedigree.assumed import Assumed, groups_of
from pedigree.errors import UnknownAnimal
from pedigree.extension import extended
from pedigree.kinship import engines
from pedigree.kinship.growing import Growing
from pedigree.layout import Layout, lay_out
from pedigree.rows import UNKNOWN, Floats, Ints, Read, read

PAIRS_AT_ONCE = 200  # so that those of one part make a small table


class Pedigree:
    """Animals and their parents. Made by `Pedigree.from_rows`; never changes.

    An unknown parent counts as an unrelated, non-inbred founder of its own, so every kinship and
    inbreeding coefficient is a lower bound.

    >>> ped = Pedigree.from_rows([("Mira", "Altair", "Vega"), ("Altair", None, None),
    ...                           ("Vega", None, None), ("Deneb", "Altair", "Mira")])
    >>> ped.ids
    ('Mira', 'Altair', 'Vega', 'Deneb')
    >>> ped.inbreeding().tolist()
    [0.0, 0.0, 0.0, 0.25]
    """

    def __init__(
        self, given: Read, layout: Layout, kin: Layout | None = None, assumed: Assumed = ()
    ) -> None:
        self._read = given
        self._layout = layout  # as recorded: founders, shares and species are read from it
        self._kin = layout if kin is None else kin  # with what is assumed: kinship and F
        self._assumed = assumed
        self._known: engines.OfNodes | None = None
        self._inherited: engines.OfNodes | None = None  # of the nodes there were before
        self._growing = Growing()  # shared by all that are made of this one with more rows
        self._young: tuple[Ints, Ints] | None = None

    @classmethod
    def from_rows(cls, rows: Iterable[Sequence[Any]], assumed: Assumed = ()) -> "Pedigree":
        """Read rows (id, sire, dam) or (id, sire, dam, litter), in any order.

        Ids are hashable; a parent that is None is unknown. A sire may be `{id: share}` when he is
        one of several: the shares sum to at most 1, the rest is an unknown sire. Littermates
        (same dam, same litter, same belief about the sire) share that one uncertain or unknown
        sire, and one dam if she is unknown; animals without a litter are independent.

        `assumed` is kinship of founders that nobody saw, as (one, other, kinship of at most 1/4):
        it counts in kinship and F, exactly, and in nothing else; founders stay founders.

        Raises UnknownAnimal for a parent without a row, DuplicateAnimal, LineageLoop, and
        LineageError for a row or share that cannot be read. Cost: linear in the rows.

        >>> Pedigree.from_rows([("M", "A", None)])
        Traceback (most recent call last):
        pedigree.errors.UnknownAnimal: A, named as a parent of M, is not a row of this pedigree.
        """
        given = read(rows)
        layout = lay_out(given)
        if not assumed:
            return cls(given, layout)
        kept = tuple(assumed)
        return cls(given, layout, lay_out(given, groups_of(given, kept)), kept)

    @property
    def ids(self) -> tuple[Any, ...]:
        """The animals' ids in the order given."""
        return self._read.ids

    def __len__(self) -> int:
        return len(self._read.ids)

    def __contains__(self, animal: object) -> bool:
        return animal in self._read.row_of

    def __repr__(self) -> str:
        return f"<Pedigree of {len(self)} animals>"

    def row(self, animal: Any) -> int:
        """The animal's position in `ids`. Raises UnknownAnimal."""
        try:
            return self._read.row_of[animal]
        except (KeyError, TypeError):
            raise UnknownAnimal(animal) from None

    # ------------------------------------------------------------------------- who is whose

    def sire(self, animal: Any) -> Any | None:
        """The animal's sire; None when he is unknown or only one of several possible."""
        row = self._read.sire[self.row(animal)]
        return None if row == UNKNOWN else self.ids[row]

    def dam(self, animal: Any) -> Any | None:
        """The animal's dam; None when unknown."""
        row = self._read.dam[self.row(animal)]
        return None if row == UNKNOWN else self.ids[row]

    def sires(self, animal: Any) -> dict[Any, Fraction]:
        """Every sire the animal may have, with his share; what is missing from 1 is unknown.

        >>> ped = Pedigree.from_rows([("Altair", None, None), ("Rigel", None, None),
        ...                           ("Vega", None, None),
        ...                           ("Mira", {"Altair": 0.75, "Rigel": 0.25}, "Vega")])
        >>> ped.sires("Mira")
        {'Altair': Fraction(3, 4), 'Rigel': Fraction(1, 4)}
        """
        row = self.row(animal)
        if row in self._read.beliefs:
            return {self.ids[sire]: share for sire, share in self._read.beliefs[row]}
        sire = self._read.sire[row]
        return {} if sire == UNKNOWN else {self.ids[sire]: Fraction(1)}

    def litter(self, animal: Any) -> Hashable | None:
        """The litter it was born in, as its row gave it; None for one of its own."""
        return self._read.litter.get(self.row(animal))

    def is_founder(self, animal: Any) -> bool:
        """Whether nothing is known of either parent."""
        return self.dam(animal) is None and not self.sires(animal)

    @property
    def assumed(self) -> Assumed:
        """Kinship of founders that was handed over as assumed."""
        return self._assumed

    def assumed_among(self, animals: Container[Any]) -> Assumed:
        """The same for these animals alone, as `from_rows` takes it."""
        return tuple(one for one in self._assumed if one[0] in animals and one[1] in animals)

    def ancestors(self, animal: Any) -> frozenset[Any]:
        """Everyone the animal stems from, without itself; every possible sire counts.

        Cost: linear in what is found.

        >>> ped = Pedigree.from_rows([("Altair", None, None), ("Mira", "Altair", None),
        ...                           ("Deneb", None, "Mira")])
        >>> sorted(ped.ancestors("Deneb"))
        ['Altair', 'Mira']
        """
        first, second = self._layout.first, self._layout.second
        return self._reached(animal, lambda node: (int(first[node]), int(second[node])))

    def descendants(self, animal: Any) -> frozenset[Any]:
        """Everyone who stems from the animal, or may, without itself. Cost: linear in these."""
        starts, young = self._offspring()
        return self._reached(animal, lambda node: young[starts[node] : starts[node + 1]].tolist())

    def are_related(self, a: Any, b: Any) -> bool:
        """Whether two animals share an ancestor that is known, or one stems from the other.

        True exactly when their kinship is above 0. Cost: linear in their ancestors.

        >>> ped = Pedigree.from_rows([("Altair", None, None), ("Mira", "Altair", None),
        ...                           ("Vega", None, None)])
        >>> ped.are_related("Altair", "Mira"), ped.are_related("Mira", "Vega")
        (True, False)
        """
        nodes = self._kin.node_of_row
        one = self._kin.closure(nodes[[self.row(a)]])
        other = self._kin.closure(nodes[[self.row(b)]])
        return bool(np.isin(one, other, assume_unique=True).any())

    def _reached(self, animal: Any, step: Any) -> frozenset[Any]:
        start = int(self._layout.node_of_row[self.row(animal)])
        seen = {start, UNKNOWN}
        todo = [start]
        while todo:
            for node in step(todo.pop()):
                if node not in seen:
                    seen.add(node)
                    todo.append(node)
        seen -= {start, UNKNOWN}
        label, known = self._layout.label, self._read.row_of
        return frozenset(label[node] for node in seen if label[node] in known)

    def _offspring(self) -> tuple[Ints, Ints]:
        """Young of each node as one array, and where each node's part of it starts."""
        if self._young is None:
            size = self._layout.size
            parents = np.concatenate([self._layout.first, self._layout.second])
            young = np.tile(np.arange(size), 2)
            order = np.argsort(parents, kind="stable")
            order = order[np.searchsorted(parents[order], 0) :]
            self._young = np.searchsorted(parents[order], np.arange(size + 1)), young[order]
        return self._young

    # ---------------------------------------------------------------- kinship and inbreeding

    def inbreeding(self) -> Floats:
        """F of every animal, aligned with `ids`: float64 (n,), 0 to 1.

        F is the chance that the two genes an animal carries at a locus are the same by descent;
        it equals the kinship of the parents. Exact to about 25 generations.

        Reckoned once, then remembered. Cost: by far the most is the square of the animals that
        breed at a time and have several young that breed, times the generations, in time; that
        square in memory. Where that is too much, the ancestors of each sire instead.

        Source: Wright 1922, Am. Nat. 56:330-338.
        """
        nodes = self._kin.node_of_row
        inbreeding: Floats = self._of_nodes().between[nodes]
        return inbreeding

    def _of_nodes(self) -> engines.OfNodes:
        if self._known is None:
            if self._inherited is not None:
                self._known = engines.of_more(self._kin, self._inherited, self._growing)
            else:
                self._known = engines.of_all(self._kin)
        return self._known

    def kinship(self, a: Any, b: Any) -> float:
        """Kinship of two animals: the chance that one gene drawn from each is the same by descent.

        It is also the F of any offspring of the two; with itself it is (1 + F)/2. From 0 to 1.
        A lower bound where ancestry is unknown. Raises UnknownAnimal.

        Source: Malecot 1948, Les mathematiques de l'heredite.

        >>> ped = Pedigree.from_rows([("Altair", None, None), ("Mira", "Altair", None)])
        >>> ped.kinship("Altair", "Mira"), ped.kinship("Mira", "Mira")
        (0.25, 0.5)
        """
        return float(self.kinship_matrix([a, b])[0, 1])

    def kinship_matrix(self, ids: Iterable[Any]) -> Floats:
        """Kinship of these animals with each other: float64 (m, m), symmetric, 0 to 1.

        Raises UnknownAnimal. Cost: the lesser of that of `inbreeding` for their ancestors alone,
        and m times their ancestors; littermates count as one.
        """
        rows = np.array([self.row(animal) for animal in ids], np.int64)
        nodes, which = np.unique(self._kin.node_of_row[rows], return_inverse=True)
        if not len(nodes):
            return np.empty((0, 0))
        return engines.among(self._kin, nodes, self._known)[np.ix_(which, which)]

    def kinships(self, pairs: Iterable[tuple[Any, Any]]) -> Floats:
        """Kinship of the two of each pair, in their order: float64 (m,), 0 to 1.

        As `kinship` has each. Raises UnknownAnimal. Cost: that of `kinship_matrix` for each
        PAIRS_AT_ONCE different pairs, and its memory for so many.

        >>> ped = Pedigree.from_rows([("Altair", None, None), ("Mira", "Altair", None)])
        >>> ped.kinships([("Altair", "Mira"), ("Mira", "Mira")]).tolist()
        [0.25, 0.5]
        """
        rows = np.array([(self.row(a), self.row(b)) for a, b in pairs], np.int64).reshape(-1, 2)
        each, which = np.unique(rows, axis=0, return_inverse=True)
        found = np.empty(len(each))
        for begin in range(0, len(each), PAIRS_AT_ONCE):
            part = each[begin : begin + PAIRS_AT_ONCE]
            asked, places = np.unique(part, return_inverse=True)
            table = self.kinship_matrix([self.ids[row] for row in asked.tolist()])
            one, other = places.reshape(-1, 2).T
            found[begin : begin + len(part)] = table[one, other]
        return found[which.reshape(-1)]

    # --------------------------------------------------------------------------- more young

    def with_rows(self, rows: Iterable[Sequence[Any]]) -> "Pedigree":
        """A new pedigree with these animals added; their parents may be old or new.

        F of the old animals is not reckoned again. Cost: a copy of the rows, without checking and
        sorting them again, as long as the new animals have certain parents and no litter.

        >>> ped = Pedigree.from_rows([("Altair", None, None), ("Vega", None, None)])
        >>> ped.with_rows([("Mira", "Altair", "Vega")]).ids
        ('Altair', 'Vega', 'Mira')
        """
        more = [tuple(row) for row in rows]
        longer = extended(self._read, self._layout, more)
        if longer is None:
            return Pedigree.from_rows([*self.rows(), *more], self._assumed)
        kin = longer[1]
        if self._kin is not self._layout and (wider := extended(self._read, self._kin, more)):
            kin = wider[1]
        grown = Pedigree(*longer, kin, self._assumed)
        grown._inherited = self._known or self._inherited
        grown._growing = self._growing
        return grown

    def rows(self) -> Iterable[tuple[Any, ...]]:
        """The rows it was made of."""
        for row, animal in enumerate(self.ids):
            sire: Any = self.sire(animal)
            if row in self._read.beliefs:
                sire = self.sires(animal)
            yield animal, sire, self.dam(animal), self._read.litter.get(row)
