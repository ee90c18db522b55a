"""What an animal descends from: species shares, and how much of the ancestry is known."""

from collections.abc import Hashable, Mapping
from fractions import Fraction
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from pedigree.lineage import Pedigree

Label = TypeVar("Label", bound=Hashable)


def composition(
    pedigree: Pedigree, base: Mapping[Hashable, Mapping[Label, Fraction]]
) -> dict[Hashable, dict[Label | None, Fraction]]:
    """Expected share of each label (species) in every animal, as exact fractions that sum to 1.

    `base` gives the shares of animals without recorded parents; an animal with parents has the
    mean of theirs. What comes through an unknown parent, or is left over in `base`, has the label
    None: unknown. Cost: linear in animals times labels.

    >>> ped = Pedigree.from_rows([("P", None, None), ("Q", None, None), ("F1", "P", "Q"),
    ...                           ("B", "F1", None)])
    >>> shares = composition(ped, {"P": {"motoro": Fraction(1)}, "Q": {"leopoldi": Fraction(1)}})
    >>> {label: str(share) for label, share in shares["B"].items()}
    {'motoro': '1/4', 'leopoldi': '1/4', None: '1/2'}
    """
    unknown: dict[Label | None, Fraction] = {None: Fraction(1)}
    shares: dict[Hashable, dict[Label | None, Fraction]] = {}
    for number in pedigree._order:
        animal = pedigree.ids[number]
        sires, dam = pedigree.sires(animal), pedigree.dam(animal)
        if not sires and dam is None:
            mine: dict[Label | None, Fraction] = {
                label: Fraction(share) for label, share in base.get(animal, {}).items()
            }
        else:
            mine = {}
            sources = [(shares[one], share / 2) for one, share in sires.items()]
            sources.append((unknown, (1 - sum(sires.values(), Fraction(0))) / 2))
            sources.append((unknown if dam is None else shares[dam], Fraction(1, 2)))
            for source, weight in sources:
                for label, share in source.items():
                    mine[label] = mine.get(label, Fraction(0)) + share * weight
        rest = 1 - sum((share for label, share in mine.items() if label is not None), Fraction(0))
        mine.pop(None, None)
        shares[animal] = {label: share for label, share in mine.items() if share}
        if rest:
            shares[animal][None] = rest
    return shares


def completeness(pedigree: Pedigree, animal: Hashable, depth: int) -> NDArray[np.float64]:
    """Share of the 2, 4, 8 ... possible ancestors that are known, for 1 to `depth` generations.

    Float64 (depth,), from 0 to 1. Several possible sires count as known with the sum of their
    shares. Raises UnknownAnimal. Cost: linear in the known ancestors times depth.

    Source: MacCluer et al. 1983, J Hered 74:394-399 (from memory).

    >>> ped = Pedigree.from_rows([("X", "S", "D"), ("S", None, None), ("D", "S", None)])
    >>> completeness(ped, "X", 3).tolist()
    [1.0, 0.25, 0.0]
    """
    pedigree._index(animal)
    level: dict[Hashable, Fraction] = {animal: Fraction(1)}
    known = []
    for _ in range(depth):
        parents: dict[Hashable, Fraction] = {}
        for one, weight in level.items():
            for sire, share in pedigree.sires(one).items():
                parents[sire] = parents.get(sire, Fraction(0)) + weight * share / 2
            dam = pedigree.dam(one)
            if dam is not None:
                parents[dam] = parents.get(dam, Fraction(0)) + weight / 2
        known.append(float(sum(parents.values(), Fraction(0))))
        level = parents
    return np.array(known)


def equivalent_generations(pedigree: Pedigree) -> NDArray[np.float64]:
    """Equivalent complete generations known of every animal, aligned with `ids`.

    The sum over known ancestors of (1/2)^n, n generations back; 0 for a founder. Cost: linear.

    Source: Maignel, Boichard & Verrier 1996, Interbull Bulletin 14:49-54 (from memory).

    >>> ped = Pedigree.from_rows([("X", "S", "D"), ("S", None, None), ("D", "S", None)])
    >>> equivalent_generations(ped).tolist()
    [1.25, 0.0, 0.5]
    """
    depth: dict[Hashable, float] = {}
    for number in pedigree._order:
        animal = pedigree.ids[number]
        parts = [(depth[one], float(share)) for one, share in pedigree.sires(animal).items()]
        dam = pedigree.dam(animal)
        if dam is not None:
            parts.append((depth[dam], 1.0))
        depth[animal] = sum(share * (1 + theirs) / 2 for theirs, share in parts)
    return np.array([depth[animal] for animal in pedigree.ids])
