"""Is the animal in a picture the one that a signed file is about? By the spots it carries."""

import datetime
from dataclasses import dataclass

import numpy as np

from breeding.exchange.ancestry import Claim, Word
from breeding.exchange.ancestry.claims import code_of
from breeding.exchange.ancestry.reading import SPOT_PARTS
from breeding.exchange.ancestry.rows import A_DAY
from breeding.identity.arrays import Floats
from breeding.identity.drawn import BesideEachOther, laid_beside
from breeding.identity.models import PatternReading
from breeding.identity.queries import MOST_CHANCE, NAMED, months_between
from breeding.spots import Reason, likeliest, partners, untold
from breeding.words.days import plain_day
from breeding.words.language import tell
from breeding.words.numbers import percent

Date = datetime.date
HARDLY = 0.25  # said of less: spots that agree in nothing leave some 0.2, as a fit can fail


@dataclass(frozen=True)
class Proof:
    """What the spots of one animal of a signed file say of a picture.

    chance: that the picture shows it, when one in five would be another animal beforehand. agree,
    seen, known: spots that agree, of the picture, of the picture in the file that agrees best.
    side: both drawn, the spots that agree joined.
    """

    code: str
    chance: float
    agree: int
    seen: int
    known: int
    on: str
    reason: Reason | None
    side: BesideEachOther

    @property
    def sentence(self) -> str:
        """In words, never more certain than it is."""
        chance = percent(min(self.chance, MOST_CHANCE))
        if self.reason == "few":
            return tell("Too few spots are seen to tell.")
        if self.chance >= NAMED:
            return tell("It is likely {code}: {chance}.", code=self.code, chance=chance)
        if self.chance <= HARDLY:
            return tell("It is hardly {code}: {chance}.", code=self.code, chance=chance)
        return tell("Whether it is {code} stays open: {chance}.", code=self.code, chance=chance)

    @property
    def spots_words(self) -> str:
        """By which spots."""
        said = {"agree": self.agree, "seen": self.seen, "known": self.known}
        if not self.on:
            return tell(
                "{agree} spots agree, of {seen} in your picture and {known} in the file.", **said
            )
        return tell(
            "{agree} spots agree, of {seen} in your picture and {known} in the file, which are of "
            "a picture of {day}.",
            day=plain_day(Date.fromisoformat(self.on)) if len(self.on) == A_DAY else self.on,
            **said,
        )


def proofs_of(word: Word, pattern: PatternReading, taken_on: Date | None) -> list[Proof]:
    """For each animal that the file is about and whose spots it carries. No query."""
    claims = (word.claim_of(one) for one in word.about)
    return [_proof(one, pattern, taken_on) for one in claims if one is not None and one.spots]


def _proof(claim: Claim, pattern: PatternReading, taken_on: Date | None) -> Proof:
    reading = pattern.reading()
    pictures = [(_months(day, taken_on), _floats(spots)) for day, spots in claim.spots]
    reason = untold(reading)
    ranked = likeliest(reading.spots, {claim.identity: pictures}, dim=reason == "dim")
    found = partners(reading.spots, pictures)
    best = found.picture if found else 0
    pairs = [(int(one), int(other)) for one, other in found.pairs] if found else []
    return Proof(
        code_of(claim.identity),
        dict(ranked)[claim.identity],
        len(pairs),
        len(reading.spots),
        len(pictures[best][1]),
        claim.spots[best][0],
        reason,
        laid_beside(reading.spots.tolist(), pictures[best][1].tolist(), pairs),
    )


def _months(day: str, taken_on: Date | None) -> float:
    return months_between(Date.fromisoformat(day) if len(day) == A_DAY else None, taken_on)


def _floats(spots: tuple[tuple[int, int, int], ...]) -> Floats:
    """Spots as they are compared; what lies where no spot can be is left out."""
    found: Floats = np.array(spots, np.float64).reshape(-1, 3) / SPOT_PARTS
    return found[(found[:, 2] > 0) & (found[:, 2] <= 1)]
