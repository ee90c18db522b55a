"""How far single animals of one cross lie from their expected share of a species."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Literal

from pedigree.figures.crosses import Cross, heterogeneity, realised_spread
from pedigree.figures.species import is_hybrid
from pedigree.pedigree import Pedigree

# Potamotrygon has 64 to 66 chromosomes, two or three of them sex chromosomes: Valentim, Porto &
# Feldberg 2019, Genet. Mol. Biol. 42, doi 10.1590/1678-4685-GMB-2018-0229.
CHROMOSOME_PAIRS = 32
MORGANS_EACH = 1.0  # assumption, one crossing-over on each: nobody has published a map for rays


def independent_segments(pairs: int = CHROMOSOME_PAIRS, morgans: float = MORGANS_EACH) -> float:
    """How many genes passed on independently would vary as whole chromosomes do in one meiosis.

    At one place in a first backcross the share of the other species has the variance 1/16.

    >>> round(independent_segments())
    56
    """
    return float(1 / (16 * realised_spread("backcross", [morgans] * pairs) ** 2))


def spread_of_share(share: Fraction | float, heterogeneity: float, segments: float) -> float:
    """Standard deviation of the part of an animal's genes that is of one species: 0 to 1/2.

    `share` is the expected part p, `heterogeneity` the expected part H of places with one gene of
    that species and one of another, both 0 to 1. At one place the animal carries 0, 1/2 or 1, with
    the mean p and the variance p (1 - p) - H/4; over independent segments that is divided by their
    number. With the segments of one meiosis it is right for an F2 and a first backcross, and an
    upper limit for later crosses, whose segments are shorter. Own derivation; an F2 and a first
    backcross agree with `pedigree.realised_spread`.

    >>> spread_of_share(Fraction(1, 2), 1.0, 50), spread_of_share(Fraction(1, 2), 0.5, 50)
    (0.0, 0.05)
    """
    return math.sqrt(max(0.0, float(share * (1 - share)) - heterogeneity / 4) / segments)


Kind = Literal["settled", "varies", "unknown", "uncertain"]


@dataclass(frozen=True)
class Spread:
    """How firm the expected species shares of an animal are.

    kind: "settled" for a first cross, whose shares do not vary; "unknown" while a part of the
    ancestry is; "uncertain" while a sire may be of one kind or another; else "varies", and then
    `deviations` holds share and standard deviation by label, the largest share first, `mixed` the
    expected part of places with one gene of each of two species (None for more than two).
    `is_upper_limit`: beyond one meiosis the true deviation is smaller. `has_mixed_founder`: a
    founder stated as mixed was taken for a random mixture.
    """

    kind: Kind
    deviations: tuple[tuple[Any, Fraction, float], ...] = ()
    mixed: float | None = None
    is_upper_limit: bool = False
    has_mixed_founder: bool = False
    segments: float = 0.0


def spread_of(
    ped: Pedigree,
    base: Mapping[Any, Mapping[Any, Any]],
    shares: Mapping[Any, Mapping[Any, Fraction]],
    kinds: Mapping[Any, Cross | None],
    animal: Any,
) -> Spread | None:
    """How far single animals bred like this lie from their shares; None for a pure or unknown one.

    `ped` holds the animal and only what it stems from; `shares` is its `composition`, `kinds` its
    `crosses`. Cost: the tabular method for each species in it.

    >>> from pedigree import composition, crosses
    >>> ped = Pedigree.from_rows([("P", None, None), ("Q", None, None), ("F", "P", "Q"),
    ...                           ("B", "F", "P")])
    >>> base = {"P": {"motoro": 1}, "Q": {"leopoldi": 1}}
    >>> found = spread_of(ped, base, composition(ped, base), crosses(ped, base), "B")
    >>> found.kind, [(label, round(spread, 4)) for label, _, spread in found.deviations]
    ('varies', [('motoro', 0.0333), ('leopoldi', 0.0333)])
    """
    mine = {label: share for label, share in shares[animal].items() if share}
    if len(mine) < 2:
        return None
    if None in mine:
        return Spread("unknown")
    cross = kinds[animal]
    if cross is not None and (cross.kind, cross.number) == ("F", 1):
        return Spread("settled")
    if not _sires_are_settled(ped, kinds):
        return Spread("uncertain")
    segments = independent_segments()
    mixed = {label: heterogeneity(ped, base, label)[animal] for label in mine}
    ordered = sorted(mine.items(), key=lambda item: -item[1])
    return Spread(
        "varies",
        deviations=tuple(
            (label, share, spread_of_share(share, mixed[label], segments))
            for label, share in ordered
        ),
        mixed=mixed[ordered[0][0]] if len(ordered) == 2 else None,
        is_upper_limit=cross is None or (cross.kind, cross.number) not in {("F", 2), ("BC", 1)},
        has_mixed_founder=any(is_hybrid(stated) for stated in base.values()),
        segments=segments,
    )


def _sires_are_settled(ped: Pedigree, kinds: Mapping[Any, Cross | None]) -> bool:
    """Whether every sire that may be one of several is of one and the same pure species."""
    for animal in ped.ids:
        sires = ped.sires(animal)
        if not sires or list(sires.values()) == [Fraction(1)]:
            continue
        found = {kinds[one] for one in sires}
        kind = found.pop()
        if found or kind is None or kind.kind != "pure" or sum(sires.values()) < 1:
            return False
    return True
