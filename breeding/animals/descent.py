"""What an animal is by descent, and how much of it is known, in words for its page."""

from dataclasses import dataclass

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.animals.profiles import all_profiles
from breeding.animals.words import is_hybrid
from pedigree import Cross, completeness_index, known_ancestors, possible_inbreeding
from pedigree.words import captivity_words, cross_words, known_sentence, possible_sentence

GENERATIONS = 3


@dataclass(frozen=True)
class KnownBar:
    """One generation of ancestors as a bar: how many places are known of how many."""

    generation: int
    words: str
    share: float

    @property
    def name(self) -> str:
        return {1: "parents", 2: "grandparents"}.get(self.generation, "great-grandparents")

    @property
    def percent(self) -> int:
        return round(self.share * 100)


@dataclass(frozen=True)
class Descent:
    """Everything an animal's page says of its descent, beside F itself."""

    cross: str
    captivity: str
    known: str
    bars: tuple[KnownBar, ...]
    equivalent_generations: float
    completeness: float
    possible: str
    is_later_cross: bool


def _is_later_cross(cross: Cross | None, is_hybrid: bool) -> bool:
    """Whether its share of each species is an expectation: any hybrid but an F1."""
    return is_hybrid and not (cross is not None and cross.kind == "F" and cross.number == 1)


def descent_of(animal: Animal) -> Descent:
    """Reads nothing but the names of possible sires: the rest comes from the lineage."""
    found = lineage.current()
    known = known_ancestors(found.pedigree, animal.pk, GENERATIONS)
    possible = ""
    rows = list(animal.possible_sires.select_related("sire")) if animal.sire_id is None else []
    if rows and animal.dam_id is not None:
        shares = {row.sire_id: row.share for row in rows}
        under_each = possible_inbreeding(found.pedigree, shares, animal.dam_id)
        if under_each.highest:
            possible = possible_sentence(under_each, {row.sire_id: row.sire.name for row in rows})
    return Descent(
        cross=cross_words(found.crosses[animal.pk], all_profiles().names),
        captivity=captivity_words(found.captivity[animal.pk]),
        known=known_sentence(known),
        bars=tuple(
            KnownBar(
                one.generation,
                f"{float(one.known):g} of {one.possible}",
                float(one.known) / one.possible,
            )
            for one in known
        ),
        equivalent_generations=found.equivalent_generations[animal.pk],
        completeness=completeness_index(found.pedigree, animal.pk, GENERATIONS),
        possible=possible,
        is_later_cross=_is_later_cross(
            found.crosses[animal.pk], is_hybrid(found.shares[animal.pk])
        ),
    )
