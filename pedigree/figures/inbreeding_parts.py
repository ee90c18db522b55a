"""Inbreeding seen otherwise: by founder, by what ancestors went through, and its cost in lives."""

from typing import Any

import numpy as np
import numpy.typing as npt

from pedigree.errors import LineageError
from pedigree.figures.founders import name_of
from pedigree.kinship.columns import Columns
from pedigree.kinship.tabular import tabular
from pedigree.layout import Levels
from pedigree.pedigree import Pedigree
from pedigree.rows import Floats


def partial_inbreeding(ped: Pedigree, animal: Any) -> dict[Any, float]:
    """An animal's F by the founder whose gene it carries twice; the parts sum to F.

    Not the same as the contribution of a common ancestor, which says where lines *meet*. What
    stems from unknown parents (an unknown parent of an inbred ancestor) stands under None;
    founders without a part are left out. Cost: founders times the tabular method.

    Source: Lacy, Alaks & Walsh 1996, by way of gene shares (from memory): the kinship of an
    animal with itself through one founder is (its share of the animal + that of F)/2.

    >>> ped = Pedigree.from_rows([("A", None, None), ("B", None, None), ("S", "A", "B"),
    ...                           ("D", "A", "B"), ("X", "S", "D")])
    >>> partial_inbreeding(ped, "X")
    {'A': 0.125, 'B': 0.125}
    """
    node = ped._kin.node_of_row[[ped.row(animal)]]
    levels = ped._kin.levels(ped._kin.closure(node)).completed()
    at = int(levels.place[node[0]])
    founders = int(levels.starts[1])
    groups: dict[Any, list[int]] = {}
    for place in range(founders):
        groups.setdefault(name_of(ped._kin, levels, place), []).append(place)
    found = {}
    for name, places in groups.items():
        part = float(tabular(levels, _NOBODY, unit=_share_of(levels, places)).between[at])
        if part:
            found[name] = part
    if None in found:
        found[None] = found.pop(None)  # last
    return found


_NOBODY = np.empty(0, np.int64)


def _share_of(levels: Levels, founders: list[int]) -> Floats:
    """Share of these founders together in every animal."""
    vector = np.zeros((len(levels.first) + 1, 1))
    vector[founders] = 1
    shares: Floats = Columns(levels).down(vector)[:-1, 0]
    return shares


def ancestral_inbreeding(ped: Pedigree) -> Floats:
    """Ballou's formula for ancestral inbreeding: (n,), 0 to 1, aligned with `ids`.

    f_a = 1/2 [f_a(s) + (1 - f_a(s)) F(s) + f_a(d) + (1 - f_a(d)) F(d)]: roughly the part of an
    animal's genes that was homozygous by descent in some ancestor. The formula treats dependent
    events as independent, so it is an approximation. Unknown parents count 0. Cost: linear.

    Source: Ballou 1997, J. Hered. 88:169-178.

    >>> ped = Pedigree.from_rows([("A", None, None), ("B", "A", None), ("C", "A", "B"),
    ...                           ("D", "C", None)])
    >>> ancestral_inbreeding(ped).tolist()
    [0.0, 0.0, 0.0, 0.125]
    """
    levels = ped._kin.levels()
    between = ped._of_nodes().between[levels.node]
    found = np.zeros(len(levels.first) + 1)
    passed = np.zeros(len(levels.first) + 1)  # f_a + (1 - f_a) F, what a parent hands on
    for begin, end in levels.slices():
        nodes = slice(begin, end)
        one, other, share = levels.first[nodes], levels.second[nodes], levels.share[nodes]
        found[nodes] = share * passed[one] + (1 - share) * passed[other]
        own = found[nodes]
        passed[nodes] = np.where(levels.is_mixture[nodes], own, own + (1 - own) * between[nodes])
    result: Floats = found[levels.place[ped._kin.node_of_row]]
    return result


def expected_survival(
    inbreeding: npt.ArrayLike, diploid_lethal_equivalents: float
) -> Floats | float:
    """Survival of inbred young relative to non-inbred ones: exp(-B F), B half the equivalents.

    F from 0 to 1, a number or an array. Lethal equivalents are quoted per diploid. There is no
    published figure for rays; 3.14 is a median of captive mammals.

    Source: Morton, Crow & Muller 1956, PNAS 42:855-863; Ralls, Ballou & Templeton 1988, Conserv.
    Biol. 2:185-193.

    >>> round(1 - expected_survival(0.25, 3.14), 3)
    0.325
    """
    f = np.asarray(inbreeding, dtype=np.float64)
    if np.any((f < 0) | (f > 1)):
        raise LineageError(f"F is from 0 to 1, not {inbreeding!r}.")
    if diploid_lethal_equivalents < 0:
        raise LineageError(f"Lethal equivalents are 0 or more, not {diploid_lethal_equivalents}.")
    survival: Floats = np.exp(-diploid_lethal_equivalents / 2 * f)
    return float(survival) if survival.ndim == 0 else survival
