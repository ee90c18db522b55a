"""Effective population size: how many ideal breeders would lose diversity as fast."""

import math
from collections.abc import Iterable
from fractions import Fraction
from typing import Any

import numpy as np

from pedigree.errors import LineageError
from pedigree.figures.completeness import equivalent_generations
from pedigree.pedigree import Pedigree


def effective_size(
    *,
    males: float | None = None,
    females: float | None = None,
    before: float | None = None,
    after: float | None = None,
    generations: float = 1,
    ped: Pedigree | None = None,
    living: Iterable[Any] | None = None,
) -> float:
    """Effective size N_e by one of three ways: males and females; before and after; ped and living.

    See `by_sex_counts`, `by_rate_of_inbreeding`, `by_individual_increase`. They answer different
    questions and differ; say which one you quote. Raises LineageError for any other mixture.

    >>> effective_size(males=10, females=10)
    20.0
    >>> effective_size(before=0.0, after=0.5)
    1.0
    """
    given = {
        name
        for name, value in {
            "males": males,
            "females": females,
            "before": before,
            "after": after,
            "ped": ped,
            "living": living,
        }.items()
        if value is not None
    }
    if given == {"males", "females"} and males is not None and females is not None:
        return by_sex_counts(males, females)
    if given == {"before", "after"} and before is not None and after is not None:
        return by_rate_of_inbreeding(before, after, generations)
    if given == {"ped", "living"} and ped is not None and living is not None:
        return by_individual_increase(ped, living)
    raise LineageError(
        "Effective size is reckoned from males and females, from before and after, or from ped "
        f"and living; given were {', '.join(sorted(given)) or 'none of them'}."
    )


def by_sex_counts(males: float, females: float) -> float:
    """N_e = 4 M F / (M + F) for M breeding males and F breeding females, families at random.

    Source: Wright 1931, Genetics 16:97-159.

    >>> round(by_sex_counts(1, 10), 3), round(by_sex_counts(2, 200), 2)
    (3.636, 7.92)
    """
    if males <= 0 or females <= 0:
        raise LineageError(f"Breeders of both sexes are needed, not {males} and {females}.")
    return 4 * males * females / (males + females)


def expected_sires(ped: Pedigree, young: Iterable[Any]) -> Fraction:
    """How many different sires these young have, as far as they are on record: an expectation.

    Each sire counts with the chance that he has sired at least one of them. Littermates with one
    belief about their sire have one sire between them: three that are equally possible for a
    single litter are one sire, not three. What the shares leave over, and a sire who is unknown,
    count for nobody.

    >>> third = Fraction(1, 3)
    >>> rows = [("a", None, None), ("b", None, None), ("c", None, None), ("d", None, None)]
    >>> rows += [(pup, {"a": third, "b": third, "c": third}, "d", "spring") for pup in "xyz"]
    >>> expected_sires(Pedigree.from_rows(rows), "xyz")
    Fraction(1, 1)
    >>> expected_sires(Pedigree.from_rows([*rows, ("w", "a", "d")]), "xyzw")
    Fraction(5, 3)
    """
    none_of_his: dict[Any, Fraction] = {}
    seen = set()
    for one in young:
        shares = ped.sires(one)
        litter = ped.litter(one)
        if litter is not None:
            belief = (ped.dam(one), litter, frozenset(shares.items()))
            if belief in seen:
                continue
            seen.add(belief)
        for sire, share in shares.items():
            none_of_his[sire] = none_of_his.get(sire, Fraction(1)) * (1 - share)
    return sum((1 - chance for chance in none_of_his.values()), Fraction(0))


def by_rate_of_inbreeding(before: float, after: float, generations: float = 1) -> float:
    """N_e = 1 / (2 dF) from mean F before and after some generations.

    dF = 1 - ((1 - after) / (1 - before))^(1 / generations). Infinite when F did not rise.

    Source: Wright 1931, Genetics 16:97-159; Falconer & Mackay 1996, ch. 4.

    >>> round(by_rate_of_inbreeding(0.25, 0.375), 6)
    3.0
    """
    if not (0 <= before < 1 and 0 <= after <= 1 and generations > 0):
        raise LineageError(
            "F is from 0 to 1 and generations above 0, not "
            f"before {before}, after {after}, generations {generations}."
        )
    rate = 1 - ((1 - after) / (1 - before)) ** (1 / generations)
    return math.inf if rate <= 0 else 1 / (2 * rate)


def by_individual_increase(ped: Pedigree, living: Iterable[Any]) -> float:
    """N_e = 1 / (2 mean dF_i), dF_i = 1 - (1 - F_i)^(1 / (t_i - 1)), t equivalent generations.

    Animals with t of at most 1 cannot be inbred and are left out; raises LineageError when none
    is left. Infinite when nobody is inbred.

    Source: Gutierrez, Cervantes & Goyache 2009, J. Anim. Breed. Genet. 126:327-332 (the exponent
    from memory).

    >>> rows = [("0m", None, None), ("0f", None, None)]
    >>> for g in range(1, 9):
    ...     rows += [(f"{g}{sex}", f"{g - 1}m", f"{g - 1}f") for sex in "mf"]
    >>> round(by_individual_increase(Pedigree.from_rows(rows), ["8m"]), 3)
    2.535
    """
    rows = np.array([ped.row(animal) for animal in living], np.int64)
    depth = equivalent_generations(ped)[rows]
    inbreeding = ped.inbreeding()[rows]
    deep = depth > 1
    if not deep.any():
        raise LineageError(
            "None of these animals has more than one equivalent generation of known ancestors."
        )
    increase = 1 - (1 - inbreeding[deep]) ** (1 / (depth[deep] - 1))
    mean = float(increase.mean())
    return math.inf if mean <= 0 else 1 / (2 * mean)
