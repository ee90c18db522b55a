"""Which of several possible sires a litter has, as far as a trait tells."""

from typing import Any

import numpy as np

from pedigree.pedigree import Pedigree
from pedigree.traits.chances import contradictions_named
from pedigree.traits.inheritance import SexLinked
from pedigree.traits.locus import Seen, locus_of, with_sexes_of_parents
from pedigree.traits.reckoned import MOST_MEGABYTES, Impossible, Reckoned


def sire_chances(
    pedigree: Pedigree,
    seen: Seen,
    animal: Any,
    *,
    frequency: float,
    sex_linked: SexLinked | None = None,
    most_megabytes: float = MOST_MEGABYTES,
) -> dict[Any, float]:
    """How likely each possible sire of an animal is, given everything seen: 0 to 1, sum 1.

    The shares of the row are what is believed beforehand; the key None is a sire who is not
    named, where the shares leave something over. Littermates that share the choice share what is
    seen on them. {} where no sire is recorded. `seen`, `frequency` and errors are those of
    `genotype_chances`. Cost: half of that for each possible sire.

    Altair shows what the dam and the young show; Rigel is free of it, so he cannot be.

    >>> ped = Pedigree.from_rows([("Altair", None, None), ("Rigel", None, None),
    ...     ("Deneb", None, None), ("Vega", None, None),
    ...     ("Mira", {"Altair": 0.25, "Deneb": 0.25, "Rigel": 0.5}, "Vega")])
    >>> seen = {"Altair": (0, 0, 1), "Deneb": (0, 1, 0), "Rigel": (1, 0, 0),
    ...         "Vega": (0, 0, 1), "Mira": (0, 0, 1)}
    >>> {sire: round(chance, 6) for sire, chance in
    ...  sire_chances(ped, seen, "Mira", frequency=0.1).items()}
    {'Altair': 0.666667, 'Rigel': 0.0, 'Deneb': 0.333333}
    """
    shares: dict[Any, float] = {sire: float(part) for sire, part in pedigree.sires(animal).items()}
    if shares and (rest := 1 - sum(pedigree.sires(animal).values())):
        shares[None] = float(rest)
    sexes = with_sexes_of_parents(pedigree, sex_linked)
    found = {}
    for sire, share in shares.items():
        way = Pedigree.from_rows(_decided(pedigree, animal, sire))
        try:
            reckoned = Reckoned(locus_of(way, seen, frequency, sexes), (), most_megabytes)
            found[sire] = np.log(share) + reckoned.logarithm
        except Impossible:
            found[sire] = -np.inf
    if shares and not np.isfinite(list(found.values())).any():
        with contradictions_named(locus_of(pedigree, seen, frequency, sex_linked)):
            raise Impossible
    most = max(found.values(), default=0.0)
    weights = {sire: float(np.exp(value - most)) for sire, value in found.items()}
    return {sire: weight / sum(weights.values()) for sire, weight in weights.items()}


def _decided(pedigree: Pedigree, animal: Any, sire: Any) -> list[tuple[Any, ...]]:
    """The rows with this sire for the animal and for all littermates that share the choice."""
    litter, dam, shares = pedigree.litter(animal), pedigree.dam(animal), pedigree.sires(animal)

    def shares_it(row: tuple[Any, ...]) -> bool:
        if row[0] == animal:
            return True
        same = litter is not None and (row[3], row[2]) == (litter, dam)
        return same and pedigree.sires(row[0]) == shares

    return [(row[0], sire if shares_it(row) else row[1], row[2], row[3]) for row in pedigree.rows()]
