"""F of one animal with everything it rests on: its possible sires, the reasons, the range."""

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from pedigree.explain.paths import Explanation, explain
from pedigree.explain.sire_ways import InbreedingRange, inbreeding_range
from pedigree.pedigree import Pedigree

MOST_ANIMALS = 400  # beyond, all lines of two dozen generations would take many seconds
NEAR_GENERATIONS = 7


@dataclass(frozen=True)
class UnderSire:
    """One male that is or may be the sire, the share of the belief in him, and F under him."""

    sire: Any
    share: Fraction
    why: Explanation


@dataclass(frozen=True)
class Inbred:
    """F of an animal. With an unknown parent there is none, only the lower bound 0.

    `expected` is the mean over the possible sires; `ways` how F ranges over every way in which
    uncertain sires may have been, None when no sire is uncertain.
    """

    animal: Any
    sire_is_known: bool
    dam_is_known: bool
    under: tuple[UnderSire, ...] = ()
    expected: Fraction = Fraction(0)
    ways: InbreedingRange | None = None

    @property
    def can_be_told(self) -> bool:
        return self.sire_is_known and self.dam_is_known

    @property
    def is_settled(self) -> bool:
        """Whether F is the same whoever the uncertain sires were."""
        if self.ways is None:
            return True
        return bool(self.ways.cases) and self.ways.lowest[0] == self.ways.highest[0]


def inbred(ped: Pedigree, animal: Any) -> Inbred:
    """F of an animal with its reasons. `ped` holds it and only what it stems from.

    Cost: the reasons for each possible sire; with uncertain sires F for each of at most 64 ways.

    >>> ped = Pedigree.from_rows([("Altair", None, None), ("Rigel", None, None),
    ...                           ("Mira", "Altair", None),
    ...                           ("Izar", {"Altair": 0.5, "Rigel": 0.5}, "Mira")])
    >>> found = inbred(ped, "Izar")
    >>> found.expected, found.ways.lowest[0], found.ways.highest[0]
    (Fraction(1, 8), 0.0, 0.25)
    """
    sires, dam = ped.sires(animal), ped.dam(animal)
    if not sires or dam is None:
        return Inbred(animal, bool(sires), dam is not None)
    under = tuple(
        UnderSire(sire, share, explain_near(ped, sire, dam))
        for sire, share in sorted(sires.items(), key=lambda item: (-item[1], str(item[0])))
    )
    expected = sum((one.share * one.why.inbreeding for one in under), Fraction(0))
    uncertain = expected and any(isinstance(row[1], dict) for row in ped.rows())
    return Inbred(
        animal, True, True, under, expected, inbreeding_range(ped, animal) if uncertain else None
    )


def explain_near(ped: Pedigree, sire: Any, dam: Any) -> Explanation:
    """Why young of these two would be inbred; in a very deep pedigree only the near lines.

    What older ancestors add is then the `remainder`. Cost: never more than some seconds.
    """
    near = near_pedigree(ped, sire, dam)
    why = explain(near, sire, dam)
    if near is ped:
        return why
    total = max(Fraction(ped.kinship(sire, dam)), why.inbreeding)
    return replace(why, inbreeding=total, remainder=total - why.inbreeding)


def near_pedigree(ped: Pedigree, *animals: Any) -> Pedigree:
    """The same where it is small; else these animals and seven generations above them."""
    if len(ped) <= MOST_ANIMALS:
        return ped
    keys, level = set(animals), set(animals)
    for _ in range(NEAR_GENERATIONS):
        parents = {parent for one in level for parent in ped.sires(one)}
        parents |= {dam for one in level if (dam := ped.dam(one)) is not None}
        level = parents - keys
        keys |= level
    rows = []
    for key, sire, dam, litter in ped.rows():
        if key in keys:
            sires = set(sire) if isinstance(sire, dict) else {sire}
            rows.append(
                (key, sire if sires <= keys else None, dam if dam in keys else None, litter)
            )
    return Pedigree.from_rows(rows, ped.assumed_among(keys))
