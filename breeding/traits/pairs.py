"""Two animals thought of together: what their young would be of each trait."""

import datetime
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from breeding.animals.models import Animal
from breeding.litters.size import LitterSize, usual_litter
from breeding.program.unchanged.values import kept_while_unchanged
from breeding.traits.inheritance import carries_in, shows_in
from breeding.traits.models import Trait
from breeding.traits.queries import drawn_pair
from breeding.traits.reading import (
    CHAINS,
    MOST_MEGABYTES,
    SEED,
    SWEEPS,
    Evidence,
    Reading,
    evidence_of,
    reading_of,
)
from breeding.traits.said import chance_of, cleared_words, is_sure, standing_words
from breeding.words.language import tell
from pedigree import Contradiction, PairChances, TooTangled, pair_chances, sampled_chances

CLEARED, QUITE_CLEARED = 0.95, 0.99


@dataclass(frozen=True)
class YoungOfPair:
    """What is kept of two animals and a trait: numbers only."""

    shows: float
    carries: float
    neither: float
    at_least_one: float  # shows it, of a litter of the usual size
    a_carrier: float  # of such a litter at least one carries it
    of_sire: tuple[int | None, int | None]  # young after which a suspected sire is cleared
    of_dam: tuple[int | None, int | None]
    is_exact: bool


@dataclass(frozen=True)
class PairSaid:
    """What the page of a pair says of one trait."""

    trait: Trait
    reading: Reading
    sire_words: str
    dam_words: str
    young: YoungOfPair | None
    cleared: tuple[str, ...]
    usual: LitterSize

    @property
    def rows(self) -> list[tuple[str, str]]:
        """What one young is, with its chance: nothing of what cannot be."""
        if self.young is None:
            return []
        found = [
            (tell("shows it"), self.young.shows),
            (tell("carries it, and does not show it"), self.young.carries),
            (tell("has nothing of it"), self.young.neither),
        ]
        return [(words, chance_of(share)) for words, share in found if share > 0]

    @property
    def litter_words(self) -> str:
        """The chance of at least one in a litter of the usual size."""
        young = self.young
        if young is None:
            return ""
        if not young.shows:
            return tell("None of their young will show it.")
        return tell(
            "Of a litter of {number} at least one shows it with {chance}.",
            number=self.usual.young,
            chance=chance_of(young.at_least_one),
        )


def pair_said(sire: Animal, dam: Animal, *, today: datetime.date) -> list[PairSaid]:
    """What the young of these two would be, trait by trait; nothing where nothing was seen."""
    usual = usual_litter(today)
    found = []
    for trait in Trait.objects.all():
        reading = reading_of(trait)
        if reading.is_blank:
            continue
        young = _young_of(trait, sire.pk, dam.pk, usual.young, reading)
        found.append(
            PairSaid(
                trait,
                reading,
                words_of(reading, sire.pk),
                words_of(reading, dam.pk),
                young,
                tuple(_cleared(reading, sire, dam, young)) if young else (),
                usual,
            )
        )
    return found


def words_of(reading: Reading, animal: int) -> str:
    """What one animal is of a trait; empty where it is not reckoned."""
    chances = reading.chances(animal)
    if chances is None:
        return ""
    seen, test = reading.looked(animal)
    return standing_words(
        reading.belief,
        chances,
        seen=seen,
        test=test,
        has_one_copy=reading.has_one_copy(animal),
        is_exact=reading.is_exact,
        is_prior=reading.says_nothing_of(animal),
    )


def _cleared(reading: Reading, sire: Animal, dam: Animal, young: YoungOfPair) -> list[str]:
    """Of a suspected carrier, how many young that do not show it would clear it."""
    found = []
    for animal, (some, more) in ((sire, young.of_sire), (dam, young.of_dam)):
        chances = reading.chances(animal.pk)
        if chances is None:
            continue
        one = reading.has_one_copy(animal.pk)
        carries = carries_in(chances, reading.belief, has_one_copy=one)
        shows = shows_in(chances, reading.belief, has_one_copy=one)
        if 0 < carries < 1 and not shows and not is_sure(carries):
            found.append(cleared_words(animal.name, carries, some, more))
    return found


def _young_of(
    trait: Trait, sire: int, dam: int, litter: int, reading: Reading
) -> YoungOfPair | None:
    """None where what was seen cannot be."""
    if reading.contradicting:
        return None
    belief = reading.belief
    key = ("traits", trait.pk, belief.inheritance, belief.one_copy, str(trait.founder_share))
    return kept_while_unchanged(
        (*key, sire, dam, litter), lambda: _reckoned(evidence_of(trait), sire, dam, litter)
    )


def _reckoned(evidence: Evidence, sire: int, dam: int, litter: int) -> YoungOfPair | None:
    try:
        pair, is_exact = _pair(evidence, sire, dam)
    except Contradiction:
        return None
    return YoungOfPair(
        pair.shows,
        pair.carries,
        pair.neither,
        pair.at_least_one(litter),
        pair.at_least_one(litter, "carries"),
        _clears(pair, "sire"),
        _clears(pair, "dam"),
        is_exact,
    )


def _clears(pair: PairChances, suspect: Literal["sire", "dam"]) -> tuple[int | None, int | None]:
    return pair.cleared_after(suspect, CLEARED), pair.cleared_after(suspect, QUITE_CLEARED)


def _pair(evidence: Evidence, sire: int, dam: int) -> tuple[PairChances, bool]:
    ped, says, belief = evidence.pedigree(sire, dam), evidence.says, evidence.belief
    asked: dict[str, Any] = {
        "frequency": belief.founder_share,
        "sex_linked": evidence.sex_linked,
    }
    try:
        found = pair_chances(
            ped,
            says,
            sire,
            dam,
            showing=belief.showing,
            most_megabytes=MOST_MEGABYTES,
            **asked,
        )
        return found, True
    except TooTangled:
        rng = np.random.default_rng(SEED)
        drawn = sampled_chances(ped, says, rng=rng, chains=CHAINS, sweeps=SWEEPS, **asked)
        return drawn_pair(drawn, sire, dam, evidence), False
