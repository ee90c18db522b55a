"""What an animal, or young that are thought of, would be by descent, in words for a page."""

from dataclasses import dataclass
from fractions import Fraction

from breeding.animals import lineage
from breeding.animals.kin import Reasons, names_of, reasons_of
from breeding.animals.known import Known, known_of
from breeding.animals.lineage import YOUNG, Lineage
from breeding.animals.models import Animal
from breeding.animals.sire_range import inbreeding_range
from breeding.animals.species.profiles import all_profiles
from breeding.animals.variation import Variation, variation_of
from breeding.animals.words import (
    ancestry,
    closeness,
    descent_words,
    inbreeding_words,
    is_hybrid,
    range_words,
)
from pedigree.words import captivity_words

Possible = list[tuple[Animal, Fraction]]  # males, each with the share of the belief in him


@dataclass(frozen=True)
class Descent:
    """Species, F with its reasons, and how much of all that is known."""

    species: str
    is_hybrid: bool
    cross: str
    captivity: str
    variation: Variation | None
    inbreeding: Fraction
    words: str
    closeness: str
    range: str
    reasons: tuple[Reasons, ...]
    known: Known


def descent_of(animal: Animal) -> Descent:
    """Of an animal on record. Cost: its ancestors; the names of possible sires and of kin."""
    found = lineage.current().behind(animal.pk)
    rows = animal.possible_sires.select_related("sire") if animal.sire is None else []
    sires = [(row.sire, row.share) for row in rows]
    return _describe(found, animal.pk, sires, animal.sire, animal.dam)


def descent_of_young(sire: Animal, dam: Animal) -> Descent:
    """Of the young these two would have."""
    found = lineage.current().young_of(sire.pk, dam.pk)
    return _describe(found, YOUNG, [], sire, dam)


def _describe(
    found: Lineage, key: int, possible: Possible, sire: Animal | None, dam: Animal | None
) -> Descent:
    sires = possible if sire is None else [(sire, Fraction(1))]
    reasons = [] if dam is None else [reasons_of(found, one, dam, part) for one, part in sires]
    inbreeding = sum((one.share * one.inbreeding for one in reasons), Fraction(0))
    known, shares, names = known_of(found, key), found.shares[key], all_profiles().names
    return Descent(
        species=ancestry(shares, names),
        is_hybrid=is_hybrid(shares),
        cross=descent_words(found.crosses[key], shares, names),
        captivity=captivity_words(found.captivity[key]),
        variation=variation_of(found, key, names),
        inbreeding=inbreeding,
        words=inbreeding_words(inbreeding, known),
        closeness=closeness(inbreeding),
        range=_range(found, key, inbreeding) if inbreeding else "",
        reasons=tuple(one for one in reasons if one.sentences),
        known=known,
    )


def _range(found: Lineage, key: int, expected: Fraction) -> str:
    cases = inbreeding_range(found.pedigree, key)
    young = {one for uncertain in cases.uncertain for one in uncertain.young}
    sires = {sire for uncertain in cases.uncertain for sire in uncertain.shares if sire is not None}
    return range_words(cases, key, expected, names_of(young | sires))
