"""Kinship of females with males as a table one can read: kin stand side by side."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from breeding.animals.lineage import Lineage
from breeding.animals.models import Animal
from breeding.animals.parents.unknown import possible_among
from breeding.planning.crosses import nothing_says_hybrids
from breeding.words.numbers import per_cent_figure
from pedigree.rows import Floats

# From which expected F on a cell is drawn darker: young of first cousins, of half siblings, of
# full siblings. The value is always written in it.
SHADES = (1 / 16, 1 / 8, 1 / 4)


def shade_of(inbreeding: float) -> int:
    """0 for nothing, then 1 to 4.

    >>> [shade_of(value) for value in (0, 0.03, 0.0625, 0.2, 0.25)]
    [0, 1, 2, 3, 4]
    """
    return 1 + sum(inbreeding >= limit for limit in SHADES) if inbreeding > 0 else 0


@dataclass(frozen=True)
class Cell:
    """One female with one male: the F their young would have."""

    female: int
    male: int
    inbreeding: float
    is_open: bool = False  # founders of theirs may be kin, and nobody knows
    is_across: bool = False  # by what is on record young are hybrids, or may be
    is_across_strains: bool = False
    could_be: float = 0.0
    figure: str = ""  # F in words

    @property
    def shade(self) -> int:
        """0 for no common ancestor on record, then 1 to 4, the closer the darker."""
        return shade_of(self.inbreeding)

    @property
    def words(self) -> str:
        return f"{self.figure}{' ?' if self.is_open else ''}"

    @property
    def marks(self) -> str:
        """How it is drawn, beside its shade."""
        return " across" if self.is_across else " strains" if self.is_across_strains else ""


@dataclass(frozen=True)
class Row:
    """One female with every male."""

    female: Animal
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class KinshipTable:
    """Rows of females, columns of males, both with close kin side by side."""

    males: tuple[Animal, ...]
    rows: tuple[Row, ...]

    @cached_property
    def namesakes(self) -> frozenset[str]:
        """Names that several have."""
        return shared_names([*self.males, *(row.female for row in self.rows)])

    @property
    def has_open(self) -> bool:
        return any(cell.is_open for row in self.rows for cell in row.cells)

    @property
    def has_across(self) -> bool:
        return any(cell.is_across for row in self.rows for cell in row.cells)

    @property
    def has_across_strains(self) -> bool:
        return any(cell.is_across_strains for row in self.rows for cell in row.cells)


def shared_names(animals: Iterable[Animal]) -> frozenset[str]:
    """Names that several of these have, so that a code has to tell them apart."""
    counts = Counter(one.name for one in animals)
    return frozenset(name for name, number in counts.items() if number > 1)


def kinship_table(
    females: Sequence[Animal], males: Sequence[Animal], known: Lineage
) -> KinshipTable:
    """Expected F of every pair. Cost: that of their kinship matrix, and of ordering them."""
    everybody = [*females, *males]
    matrix = known.pedigree.kinship_matrix([one.pk for one in everybody])
    possible = possible_among(known, [one.pk for one in everybody])
    unsaid = known.open_among([one.pk for one in females], [one.pk for one in males])
    species = [known.shares.get(one.pk, {}) for one in everybody]
    split = len(females)
    rows = [k for k in family_order(matrix) if k < split]
    columns = [k for k in family_order(matrix) if k >= split]

    figures: dict[float, str] = {}  # many pairs have the same F

    def cell(k: int, m: int) -> Cell:
        female, male, on_record = everybody[k], everybody[m], float(matrix[k, m])
        could_be = max(on_record, float(possible[k, m]))
        is_darker = shade_of(could_be) > shade_of(on_record)
        is_open = (female.pk, male.pk) in unsaid or is_darker
        is_across = not nothing_says_hybrids(species[k], species[m])
        across_strains = not is_across and female.strain_id != male.strain_id
        if on_record not in figures:
            figures[on_record] = per_cent_figure(on_record)
        return Cell(
            *(female.pk, male.pk, on_record, is_open, is_across, across_strains, could_be),
            figures[on_record],
        )

    return KinshipTable(
        tuple(everybody[k] for k in columns),
        tuple(Row(everybody[k], tuple(cell(k, m) for m in columns)) for k in rows),
    )


def family_order(matrix: Floats) -> list[int]:
    """An order in which close kin are neighbours: leaves of an average-linkage tree.

    matrix: kinship, (n, n). Source: Sokal & Michener 1958, Univ. Kansas Sci. Bull. 38:1409-1438
    (average linkage); Bar-Joseph et al. 2001, Bioinformatics 17:S22-S29 (order of leaves).
    """
    n = len(matrix)
    if n < 3:
        return list(range(n))
    from scipy.cluster.hierarchy import leaves_list, linkage
    from scipy.spatial.distance import squareform

    own = np.sqrt(np.outer(matrix.diagonal(), matrix.diagonal()))
    distance = 1 - matrix / own
    np.fill_diagonal(distance, 0)
    tree = linkage(squareform(distance, checks=False), "average", optimal_ordering=n <= 200)
    return [int(leaf) for leaf in leaves_list(tree)]
