"""What an animal bought would do for a program: one that is kin to nobody, and its first litter."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from pedigree.figures.diversity import LivingKinship
from pedigree.rows import Floats


def with_newcomer(living: LivingKinship, mates: Sequence[Any], young: int) -> Floats:
    """Gene diversity once one that is kin to nobody, not inbred, has had so many young with each
    of these: (mates,), 0 to 1. The living, the newcomer and the young all count.

    With S the sum of the kinship of m living, r that of the mate's row: S + 1/2 for the newcomer,
    r + 1/2 for the kinship of each of the young with the living and with it, 1/2 for each with
    itself, (k(mate, mate) + 1/2)/4 for each two of them. Array time. Raises UnknownAnimal.

    >>> from pedigree import Pedigree
    >>> ped = Pedigree.from_rows([("Altair", None, None)])
    >>> with_newcomer(LivingKinship.of(ped, ["Altair"]), ["Altair"], 2).tolist()
    [0.71875]
    """
    at = np.array([living._at(one) for one in mates], np.int64)
    number = len(living.ids)
    rows, own = living.matrix.sum(axis=1), living.matrix.diagonal()
    total = (
        float(rows.sum())
        + 0.5
        + young * (rows[at] + 0.5)
        + young / 2
        + young * (young - 1) * (own[at] + 0.5) / 4
    )
    after: Floats = 1 - total / (number + 1 + young) ** 2
    return after
