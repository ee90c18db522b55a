"""Kinship of females with males as a table one can read: kin stand side by side."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from breeding.animals.lineage import Lineage
from breeding.animals.models import Animal
from breeding.words.numbers import per_cent_figure
from pedigree.rows import Floats

# From which expected F on a cell is drawn darker: young of first cousins, of half siblings, of
# full siblings. The value is always written in it.
SHADES = (1 / 16, 1 / 8, 1 / 4)


@dataclass(frozen=True)
class Cell:
    """One female with one male: the F their young would have."""

    female: int
    male: int
    inbreeding: float
    is_open: bool = False  # founders of theirs came together, and nobody knows whether as kin

    @property
    def shade(self) -> int:
        """0 for no common ancestor on record, then 1 to 4, the closer the darker."""
        if self.inbreeding <= 0:
            return 0
        return 1 + sum(1 for limit in SHADES if self.inbreeding >= limit)

    @property
    def words(self) -> str:
        return f"{per_cent_figure(self.inbreeding)}{' ?' if self.is_open else ''}"


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

    @property
    def has_open(self) -> bool:
        return any(cell.is_open for row in self.rows for cell in row.cells)


def kinship_table(
    females: Sequence[Animal], males: Sequence[Animal], known: Lineage
) -> KinshipTable:
    """Expected F of every pair. Cost: that of their kinship matrix, and of ordering them."""
    everybody = [*females, *males]
    matrix = known.pedigree.kinship_matrix([one.pk for one in everybody])
    unsaid = known.open_among([one.pk for one in females], [one.pk for one in males])
    split = len(females)
    rows = [k for k in family_order(matrix) if k < split]
    columns = [k for k in family_order(matrix) if k >= split]
    return KinshipTable(
        tuple(everybody[k] for k in columns),
        tuple(
            Row(
                everybody[k],
                tuple(
                    Cell(
                        everybody[k].pk,
                        everybody[m].pk,
                        float(matrix[k, m]),
                        (everybody[k].pk, everybody[m].pk) in unsaid,
                    )
                    for m in columns
                ),
            )
            for k in rows
        ),
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
