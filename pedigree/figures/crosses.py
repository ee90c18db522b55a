"""Crosses of species: F1, F2, backcross where determined, and how much their young differ."""

from collections.abc import Mapping, Sequence
from typing import Any, Literal, NamedTuple

import numpy as np

from pedigree.errors import LineageError
from pedigree.figures.composition import composition
from pedigree.kinship.tabular import tabular
from pedigree.pedigree import Pedigree
from pedigree.rows import Floats


class Cross(NamedTuple):
    """What an animal is by descent: pure, F1 (2, ...), or a backcross BC1 (2, ...) to a parent."""

    kind: Literal["pure", "F", "BC"]
    number: int  # 0 for pure
    labels: tuple[Any, ...]  # the one pure label, or the two that were crossed
    to: Any = None  # for a backcross: the label it goes back to

    def __str__(self) -> str:
        return "pure" if self.kind == "pure" else f"{self.kind}{self.number}"


def crosses(ped: Pedigree, base: Mapping[Any, Mapping[Any, Any]]) -> dict[Any, Cross | None]:
    """The genetic label of every animal where its ancestry determines one, else None.

    Pure: every part is of one label. F1: two pure parents of different labels. F2: two F1 of the
    same labels; F3 and so on alike. BC1: an F1 and a pure animal of one of its labels; BC2: a BC1
    and a pure animal of the same label. Any unknown part, a founder that is itself mixed, a sire
    that may be one of several unlike ones, or any other cross: None. Not the same as the
    generation in captivity. Cost: linear.

    >>> ped = Pedigree.from_rows([("P", None, None), ("Q", None, None), ("F", "P", "Q"),
    ...                           ("B", "F", "P")])
    >>> found = crosses(ped, {"P": {"motoro": 1}, "Q": {"leopoldi": 1}})
    >>> str(found["F"]), str(found["B"]), found["B"].to
    ('F1', 'BC1', 'motoro')
    """
    shares = composition(ped, base)
    order = np.argsort(ped._layout.node_of_row, kind="stable").tolist()
    found: dict[Any, Cross | None] = {}
    for row in order:
        animal = ped.ids[row]
        mine = shares[animal]
        if len(mine) == 1 and None not in mine:
            found[animal] = Cross("pure", 0, tuple(mine))
            continue
        sires, dam = ped.sires(animal), ped.dam(animal)
        by_sire = {found[sire] for sire in sires}
        if None in mine or dam is None or len(by_sire) != 1 or sum(sires.values()) < 1:
            found[animal] = None
            continue
        found[animal] = _cross(by_sire.pop(), found[dam])
    return found


def _cross(one: Cross | None, other: Cross | None) -> Cross | None:
    if one is None or other is None:
        return None
    if one.kind == other.kind == "pure":
        labels = sorted([one.labels[0], other.labels[0]], key=str)
        return Cross("F", 1, tuple(labels))
    if one.kind == other.kind == "F" and one[:3] == other[:3]:
        return Cross("F", one.number + 1, one.labels)
    if one.kind == "pure":
        one, other = other, one
    if other.kind != "pure" or other.labels[0] not in one.labels:
        return None
    if one.kind == "F" and one.number == 1:
        return Cross("BC", 1, one.labels, other.labels[0])
    if one.kind == "BC" and one.to == other.labels[0]:
        return Cross("BC", one.number + 1, one.labels, one.to)
    return None


def heterogeneity(
    ped: Pedigree, base: Mapping[Any, Mapping[Any, Any]], label: Any
) -> dict[Any, float]:
    """Expected share of loci with one gene of `label` and one of something else: 0 to 1.

    1 for an F1, 1/2 for an F2 or a first backcross, 0 for a pure animal. Exact also when the
    parents are kin. nan where a part of the animal is unknown; a founder stated as mixed counts
    as if its two genes were drawn from the mixture independently. Cost: the tabular method.

    Own derivation: the covariance of gene origins obeys the recursion of kinship.

    >>> ped = Pedigree.from_rows([("P", None, None), ("Q", None, None), ("F", "P", "Q"),
    ...                           ("B", "F", "P")])
    >>> found = heterogeneity(ped, {"P": {"motoro": 1}, "Q": {"leopoldi": 1}}, "motoro")
    >>> found["F"], found["B"], found["P"]
    (1.0, 0.5, 0.0)
    """
    shares = composition(ped, base)
    layout = ped._layout
    levels = layout.levels()
    part = np.zeros(len(levels.first) + 1)
    for animal, node in zip(ped.ids, layout.node_of_row.tolist(), strict=True):
        part[levels.place[node]] = float(shares[animal].get(label, 0))
    for begin, end in levels.slices()[1:]:
        mixed = np.flatnonzero(levels.is_mixture[begin:end]) + begin
        share = levels.share[mixed]
        part[mixed] = share * part[levels.first[mixed]] + (1 - share) * part[levels.second[mixed]]
    # Given the shares, two genes are both of `label` with chance p(x) p(y) + covariance(x, y).
    one, other, own = part[levels.first], part[levels.second], part[:-1]
    stated = slice(0, int(levels.starts[1]))
    unit = own + one * other - 2 * own**2
    unit[stated] = own[stated] - own[stated] ** 2
    covariance = tabular(levels, np.empty(0, np.int64), unit=unit).between
    both = one * other + covariance
    found = one + other - 2 * both
    found[stated] = 2 * own[stated] * (1 - own[stated])
    return {
        animal: float("nan") if None in shares[animal] else float(found[levels.place[node]])
        for animal, node in zip(ped.ids, layout.node_of_row.tolist(), strict=True)
    }


def realised_spread(
    cross: Literal["F1", "F2", "backcross"], chromosome_morgans: Sequence[float]
) -> float:
    """Standard deviation of the share of one species among young of the same cross: 0 to 1/2.

    `chromosome_morgans` are the map lengths of the chromosomes (not sex chromosomes), which for
    rays nobody has published: give an assumption and say so. The share of an F1 does not vary;
    that of a backcross varies with one gamete of an F1, that of an F2 with two.

    Variance of a gamete's share on a chromosome of l Morgans: (2l - 1 + exp(-2l)) / (8 l^2),
    crossovers without interference. Source: Franklin 1977, Theor. Popul. Biol. 11:60-80; Hill
    1993, Theor. Appl. Genet. (from memory; own derivation agrees).

    >>> round(realised_spread("backcross", [1.0] * 30), 4)
    0.0344
    """
    lengths: Floats = np.array(chromosome_morgans, dtype=np.float64)
    if not len(lengths) or np.any(lengths <= 0):
        raise LineageError(f"Chromosomes have lengths above 0 Morgan, not {chromosome_morgans!r}.")
    if cross not in ("F1", "F2", "backcross"):
        raise LineageError(f"The cross is 'F1', 'F2' or 'backcross', not {cross!r}.")
    gametes = {"F1": 0, "backcross": 1, "F2": 2}[cross]
    weighted = (2 * lengths - 1 + np.exp(-2 * lengths)) / 8  # l^2 times the variance
    of_gamete = float(weighted.sum() / lengths.sum() ** 2)
    return float(np.sqrt(gametes * of_gamete / 4))
