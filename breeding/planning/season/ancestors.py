"""How much of the ancestry of young that are thought of is on record, as boxes in rows."""

from dataclasses import dataclass

from breeding.animals.lineage import Lineage
from pedigree import known_ancestors

BACK = 3


@dataclass(frozen=True)
class KnownPlaces:
    """Of one generation: how many of its places are known; parts, where a sire is uncertain."""

    generation: int
    known: float
    possible: int

    @property
    def part(self) -> float:
        """In a hundred."""
        return round(100 * self.known / self.possible, 1)


def places_of_young(found: Lineage, sire: int, dam: int) -> tuple[KnownPlaces, ...]:
    """Parents, grandparents and great-grandparents: those of both parents, one further back."""
    sides = [known_ancestors(found.pedigree, one, BACK - 1) for one in (sire, dam)]
    further = [
        KnownPlaces(his.generation + 1, float(his.known + hers.known), his.possible + hers.possible)
        for his, hers in zip(*sides, strict=True)
    ]
    return (KnownPlaces(1, 2.0, 2), *further)
