"""Litters of many pairs at once: the chance of at least one young that shows it, or has it."""

from collections.abc import Sequence
from typing import Any, Literal

import numpy as np

from pedigree.pedigree import Pedigree
from pedigree.rows import Floats
from pedigree.traits.chances import contradictions_named
from pedigree.traits.inheritance import STATES, SexLinked
from pedigree.traits.locus import Seen, locus_of
from pedigree.traits.pair import RECESSIVE, _law, _node, _showing, _whole_number
from pedigree.traits.reckoned import MOST_MEGABYTES, Reckoned

Look = Literal["shows", "has"]


def litter_chances(
    pedigree: Pedigree,
    seen: Seen,
    sires: Sequence[Any],
    dams: Sequence[Any],
    *,
    young: int,
    look: Look = "shows",
    frequency: float,
    showing: Sequence[float] = RECESSIVE,
    sex_linked: SexLinked | None = None,
    most_megabytes: float = MOST_MEGABYTES,
) -> Floats:
    """The chance that of so many young of every sire with every dam at least one shows the trait
    ("shows"), or has the gene or shows it ("has"): (sires, dams), 0 to 1.

    The young of a litter are not independent, for nobody knows the copies of their parents: so
    each pair's joint copies are asked, as in `pair_chances`, of which this is `at_least_one`.
    With one young it is the chance of any young. `seen`, `frequency`, errors are those of
    `genotype_chances`. Cost: a way up and down the tree with 3 questions a sire.

    >>> ped = Pedigree.from_rows([("Altair", None, None), ("Vega", None, None)])
    >>> seen = {"Altair": (0, 1, 0), "Vega": (0, 0.5, 0.5)}
    >>> litter_chances(ped, seen, ["Altair"], ["Vega"], young=2, frequency=0.5).round(9).tolist()
    [[0.541666667]]
    """
    locus = locus_of(pedigree, seen, frequency, sex_linked)
    hers = [_node(pedigree, animal) for animal in dams]
    his = [_node(pedigree, animal) for animal in sires]
    found = np.zeros((len(his), len(hers)))
    if not hers or not his:
        return found
    with contradictions_named(locus):
        reckoned = Reckoned(locus, {*his, *hers}, most_megabytes)
        alone = reckoned.chances()
        shows = _showing(showing)
        wanted = shows if look == "shows" else np.array([shows[0], 1, 1])
        each = max(1, int(most_megabytes * 2**16 / (STATES * reckoned.tree.entries + 1)))
        for begin in range(0, len(his), each):
            some = his[begin : begin + each]
            given = _given(reckoned, some, hers, alone)
            for at, sire in enumerate(some):
                for place, dam in enumerate(hers):
                    if sire == dam:
                        continue
                    law = _law(locus, sire, dam, 0.5 if sex_linked is not None else 0.0)
                    none = (1 - law @ wanted).clip(0) ** _whole_number(young)
                    joint = alone[sire][:, None] * given[dam][STATES * at : STATES * (at + 1)]
                    found[begin + at, place] = 1 - float((joint * none).sum())
    return found.clip(0, 1)


def _given(
    reckoned: Reckoned, some: Sequence[int], hers: Sequence[int], alone: dict[int, Floats]
) -> dict[int, Floats]:
    """Chances of each dam's copies for 0, 1, 2 copies of one of some sires after the other."""
    free = [at for at, sire in enumerate(some) if len(reckoned.states[sire]) > 1]
    found = {dam: np.tile(alone[dam], (STATES * len(some), 1)) for dam in hers}
    if not free:
        return found
    weights = {}
    for place, at in enumerate(free):
        weight = np.ones((STATES * len(free), STATES))
        weight[STATES * place : STATES * (place + 1)] = np.eye(STATES)
        weights[some[at]] = weight
    asked = reckoned.asked(weights, [*dict.fromkeys(hers)])
    for place, at in enumerate(free):
        for dam in hers:
            rows = slice(STATES * place, STATES * (place + 1))
            found[dam][STATES * at : STATES * (at + 1)] = asked[dam][rows]
    return found
