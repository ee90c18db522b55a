"""How much single animals of a cross differ in their species, in words and with what is assumed."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from breeding.animals.lineage import Lineage
from breeding.animals.spread import CHROMOSOME_PAIRS, independent_segments, spread_of_share
from breeding.animals.words import is_hybrid
from breeding.program.formats import joined, percent
from pedigree import Cross, heterogeneity


@dataclass(frozen=True)
class Variation:
    """One sentence on how firm the shares are, and what it rests on."""

    words: str
    assumed: str = ""


def variation_of(found: Lineage, animal: int, names: Mapping[int, str]) -> Variation | None:
    """Of a hybrid; None for any other animal. `found` holds the animal and all it stems from."""
    shares, cross = found.shares[animal], found.crosses[animal]
    if not is_hybrid(shares):
        return None
    if None in shares:
        return Variation(
            "How far single animals lie from this cannot be said while a part of their ancestry "
            "is unknown."
        )
    if cross is not None and cross.kind == "F" and cross.number == 1:
        return Variation("An F1 has exactly one half of each species, its sex chromosomes aside.")
    if not _sires_are_settled(found):
        return Variation(
            "How far single animals lie from this cannot be said while a sire is uncertain."
        )
    return _spread(found, animal, names)


def _sires_are_settled(found: Lineage) -> bool:
    """Whether every sire that may be one of several is of one and the same pure species."""
    for key, sire, *_ in found.rows.values():
        if isinstance(sire, dict):
            kinds = {found.crosses[one] for one in found.pedigree.sires(key)}
            kind = kinds.pop()
            if kinds or kind is None or kind.kind != "pure" or sum(sire.values()) < 1:
                return False
    return True


def _spread(found: Lineage, animal: int, names: Mapping[int, str]) -> Variation:
    segments = independent_segments()
    known = {label: share for label, share in found.shares[animal].items() if label is not None}
    ordered = sorted(known.items(), key=lambda item: (-item[1], names[item[0]]))
    mixed = {
        label: heterogeneity(found.pedigree, found.base, label)[animal] for label, _ in ordered
    }
    spreads = {label: spread_of_share(share, mixed[label], segments) for label, share in ordered}
    varying = [(label, share) for label, share in ordered if spreads[label] > 0]
    shown = varying[:1] if len(ordered) == 2 else varying  # of two, one says it of the other
    ranges = joined([_between(share, spreads[label], names[label]) for label, share in shown])
    widest = max(spreads.values())
    about = "about" if _is_one_meiosis_deep(found.crosses[animal]) else "at most about"
    words = (
        f"Single animals of this kind vary by {about} ± {_points(widest)} percentage points: two "
        f"in three have {ranges}."
    )
    founders = (
        " A founder stated as mixed is taken for a random mixture."
        if any(len(stated) > 1 for stated in found.base.values())
        else ""
    )
    copies = ""
    if len(ordered) == 2:
        copies = f"At {percent(mixed[ordered[0][0]])} of the genes one copy of each is expected. "
    return Variation(
        words,
        f"{copies}Assumed are {CHROMOSOME_PAIRS} pairs of chromosomes with one crossing-over "
        f"each, passed on like about {segments:.0f} independent segments; nobody has published "
        f"such a map for rays.{founders}",
    )


def _is_one_meiosis_deep(cross: Cross | None) -> bool:
    """F2 and first backcross, for which the number of segments is that of one meiosis."""
    return cross is not None and (cross.kind, cross.number) in {("F", 2), ("BC", 1)}


def _between(share: Fraction, spread: float, name: str) -> str:
    low, high = (max(0.0, min(1.0, float(share) + side * spread)) for side in (-1, 1))
    return f"{_points(low)} to {_points(high)} % {name}"


def _points(value: float) -> str:
    return f"{100 * value:.0f}" if value >= 0.02 else f"{100 * value:.1f}"
