"""From the keeper's wishes for a season and the animals to tables over females and males."""

from collections.abc import Collection, Sequence

import numpy as np

from breeding.animals.lineage import Lineage
from breeding.animals.models import Animal
from breeding.planning.season.wishes import Asked, Bools, Wishes
from breeding.planning.state.members import pure_species
from pedigree.rows import Floats


def asked_of(
    females: Sequence[Animal],
    males: Sequence[Animal],
    wishes: Wishes,
    inbreeding: Floats,
    known: Lineage,
    too_wide: Bools,
    chances: Floats | None = None,
) -> Asked:
    """The wishes for these animals. `inbreeding` (females, males), 0 to 1; `too_wide` alike,
    and `chances` of the trait that is wished for."""
    hers, his = [one.pk for one in females], [one.pk for one in males]
    species = [[pure_species(known.shares.get(pk, {})) or 0 for pk in some] for some in (hers, his)]
    strains = [[one.strain_id or 0 for one in some] for some in (females, males)]
    return Asked(
        wishes=wishes,
        inbreeding=inbreeding,
        females=[one.name for one in females],
        males=[one.name for one in males],
        must=_table(wishes.must, hers, his),
        must_not=_table(wishes.must_not, hers, his),
        across_species=_apart(*species),
        across_strains=_apart(*strains),
        too_wide=too_wide,
        chances=chances,
    )


def _table(pairs: Collection[tuple[int, int]], hers: list[int], his: list[int]) -> Bools:
    found = np.zeros((len(hers), len(his)), np.bool_)
    for female, male in pairs:
        if female in hers and male in his:
            found[hers.index(female), his.index(male)] = True
    return found


def _apart(hers: list[int], his: list[int]) -> Bools:
    """Pairs of which the one is not what the other is; 0: of no pure kind, or of no strain."""
    found: Bools = np.array(hers, np.int64)[:, None] != np.array(his, np.int64)
    return found
