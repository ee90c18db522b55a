"""Generation interval by the four paths: how old parents are when the next breeders are born."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from pedigree.errors import LineageError, UnknownAnimal
from pedigree.pedigree import Pedigree


@dataclass(frozen=True)
class Path:
    """One of the four paths: mean age of the parent at the birth of its young, in years."""

    years: float | None  # None: no pair of parent and young with both dates
    pairs: int


@dataclass(frozen=True)
class GenerationInterval:
    """The four paths and their plain mean; a path without a pair is left out of the mean."""

    sire_to_son: Path
    sire_to_daughter: Path
    dam_to_son: Path
    dam_to_daughter: Path

    @property
    def paths(self) -> tuple[Path, Path, Path, Path]:
        return self.sire_to_son, self.sire_to_daughter, self.dam_to_son, self.dam_to_daughter

    @property
    def mean_years(self) -> float | None:
        known = [path.years for path in self.paths if path.years is not None]
        return sum(known) / len(known) if known else None


def generation_interval(
    ped: Pedigree,
    born: Mapping[Any, float],
    sex: Mapping[Any, str],
    *,
    only_breeders: bool = True,
) -> GenerationInterval:
    """Mean age of sires and dams at the birth of the sons and daughters that became parents.

    born: animal -> birth in years (a decimal year; any origin); animals without one are left out.
    sex: animal -> "M" or "F"; young of unknown sex are left out. only_breeders: count only young
    that have young of their own, the usual definition, which leaves out animals that were never
    used; False counts all young. An uncertain sire counts only where one male is certain.
    Raises UnknownAnimal for a birth of nobody in the pedigree, LineageError for a parent not
    older than its young. Cost: linear.

    Source: the four paths are standard (Rendel & Robertson 1950, J. Genet. 50:1-8; Falconer &
    Mackay 1996, ch. 4: generation interval as mean age of parents at birth of the offspring that
    replace them).

    >>> ped = Pedigree.from_rows([("Altair", None, None), ("Vega", None, None),
    ...                           ("Mira", "Altair", "Vega"), ("Deneb", None, "Mira")])
    >>> found = generation_interval(ped, {"Altair": 0, "Vega": 1, "Mira": 4}, {"Mira": "F"})
    >>> found.sire_to_daughter.years, found.dam_to_daughter.years, found.mean_years
    (4.0, 3.0, 3.5)
    """
    for animal in born:
        if animal not in ped:
            raise UnknownAnimal(animal)
    parents: dict[Any, tuple[Any, Any]] = {}
    bred: set[Any] = set()
    for animal in ped.ids:
        sires = [one for one, share in ped.sires(animal).items() if share == 1]
        dam = ped.dam(animal)
        bred.update(ped.sires(animal))
        if dam is not None:
            bred.add(dam)
        parents[animal] = (sires[0] if sires else None, dam)
    ages: dict[tuple[str, str], list[float]] = {}
    for young, both in parents.items():
        if young not in born or (only_breeders and young not in bred):
            continue
        for role, parent in zip(("sire", "dam"), both, strict=True):
            if parent is None or parent not in born or sex.get(young) not in ("M", "F"):
                continue
            age = born[young] - born[parent]
            if age <= 0:
                raise LineageError(f"{parent!r} is recorded as no older than its young {young!r}.")
            ages.setdefault((role, sex[young]), []).append(age)
    return GenerationInterval(
        *(
            _path(ages.get((role, young), []))
            for role, young in (("sire", "M"), ("sire", "F"), ("dam", "M"), ("dam", "F"))
        )
    )


def _path(ages: list[float]) -> Path:
    return Path(float(np.mean(ages)), len(ages)) if ages else Path(None, 0)
