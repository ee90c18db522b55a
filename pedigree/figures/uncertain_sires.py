"""F of young whose sire is one of several: expected, and what it would be under each."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import numpy as np

from pedigree.errors import LineageError
from pedigree.kinship import engines
from pedigree.pedigree import Pedigree
from pedigree.rows import exact


@dataclass(frozen=True)
class PossibleInbreeding:
    """F under each possible sire; the key None is an unknown one, under whom F is at least 0."""

    expected: Fraction
    by_sire: Mapping[Any, Fraction]
    shares: Mapping[Any, Fraction]

    @property
    def lowest(self) -> Fraction:
        return min(self.by_sire.values())

    @property
    def highest(self) -> Fraction:
        return max(self.by_sire.values())


def possible_inbreeding(ped: Pedigree, sires: Mapping[Any, Any], dam: Any) -> PossibleInbreeding:
    """F of young of a dam and one of several sires: {sire: share}, shares of at most 1 together.

    What the shares leave over is an unknown, unrelated sire. Exact. Raises UnknownAnimal,
    LineageError. Cost: the kinship of those named.

    >>> ped = Pedigree.from_rows([("Altair", None, None), ("Rigel", None, None),
    ...                           ("Mira", "Altair", None)])
    >>> found = possible_inbreeding(ped, {"Altair": 0.5, "Rigel": 0.5}, "Mira")
    >>> found.expected, found.lowest, found.highest
    (Fraction(1, 8), Fraction(0, 1), Fraction(1, 4))
    """
    shares = {sire: exact(share) for sire, share in sires.items() if sire is not None}
    rest = 1 - sum(shares.values(), Fraction(0))
    if not shares or rest < 0 or any(share < 0 for share in shares.values()):
        raise LineageError(f"The shares of the possible sires sum to at most 1, not {sires!r}.")
    by_row = {sire: ped._kin.node_of_row[ped.row(sire)] for sire in shares}
    of_dam = ped._kin.node_of_row[ped.row(dam)]
    nodes = np.unique([*by_row.values(), of_dam])
    _, _, among = engines.exactly(ped._kin, nodes)
    column = among[:, np.searchsorted(nodes, of_dam)]
    by_sire: dict[Any, Fraction] = {
        sire: column[np.searchsorted(nodes, node)] for sire, node in by_row.items()
    }
    if rest:
        by_sire[None] = Fraction(0)
        shares[None] = rest
    expected = sum((shares[sire] * f for sire, f in by_sire.items()), Fraction(0))
    return PossibleInbreeding(expected, by_sire, shares)
