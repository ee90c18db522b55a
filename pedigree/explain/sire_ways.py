"""F of an animal under every way in which the uncertain sires behind it may have been."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import product
from math import prod
from typing import Any

from pedigree.pedigree import Pedigree

MOST_WAYS = 64


@dataclass(frozen=True)
class UncertainSire:
    """One sire that may be one of several: of which young, and each candidate's share.

    The key None is a sire who is not named, with what the shares leave over.
    """

    young: tuple[Any, ...]
    shares: Mapping[Any, Fraction]


@dataclass(frozen=True)
class InbreedingRange:
    """The lowest and the highest F, with the sire chosen for each of `uncertain` in that case.

    `cases` is F with the sires chosen, for every way; empty when there are more than 64 ways.
    """

    uncertain: tuple[UncertainSire, ...]
    ways: int
    cases: tuple[tuple[float, tuple[Any, ...]], ...]

    @property
    def lowest(self) -> tuple[float, tuple[Any, ...]]:
        return min(self.cases, key=lambda case: case[0])

    @property
    def highest(self) -> tuple[float, tuple[Any, ...]]:
        return max(self.cases, key=lambda case: case[0])


def inbreeding_range(ped: Pedigree, animal: Any) -> InbreedingRange:
    """F of an animal under each possible sire of itself and of everyone it stems from.

    Litter mates that share one uncertain sire have the same one in every case; a sire who is not
    named is unrelated. Cost: F of the animal's ancestors for each way, at most 64 of them.

    >>> half = Fraction(1, 2)
    >>> ped = Pedigree.from_rows([(1, None, None), (2, None, None), (3, 1, None),
    ...                           (4, {1: half, 2: half}, 3)])
    >>> found = inbreeding_range(ped, 4)
    >>> found.lowest, found.highest
    ((0.0, (2,)), (0.25, (1,)))
    """
    keys = ped.ancestors(animal) | {animal}
    rows = [row for row in ped.rows() if row[0] in keys]
    together: dict[Any, list[Any]] = {}
    for key, sire, dam, litter in rows:
        if isinstance(sire, dict):
            shared = key if litter is None else (dam, litter, tuple(sire.items()))
            together.setdefault(shared, []).append(key)
    uncertain = tuple(
        UncertainSire(tuple(young), _with_unknown(ped.sires(young[0])))
        for young in together.values()
    )
    ways = prod(len(one.shares) for one in uncertain)
    if ways > MOST_WAYS:
        return InbreedingRange(uncertain, ways, ())
    cases = []
    for chosen in product(*(one.shares for one in uncertain)):
        sires = {
            key: sire for one, sire in zip(uncertain, chosen, strict=True) for key in one.young
        }
        certain = Pedigree.from_rows(
            [(key, sires.get(key, sire), dam, litter) for key, sire, dam, litter in rows],
            ped.assumed_among(keys),
        )
        cases.append((float(certain.inbreeding()[certain.row(animal)]), chosen))
    return InbreedingRange(uncertain, ways, tuple(cases))


def _with_unknown(shares: Mapping[int, Fraction]) -> Mapping[Any, Fraction]:
    found: dict[Any, Fraction] = dict(shares.items())
    if rest := 1 - sum(shares.values(), Fraction(0)):
        found[None] = rest
    return found
