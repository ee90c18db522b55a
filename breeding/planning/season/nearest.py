"""Where a trait that is wished for cannot be had as asked: what comes nearest, in words; pure."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from urllib.parse import urlencode

import numpy as np

from breeding.planning.season.wishes import Asked
from breeding.traits.said import chance_of
from breeding.words.language import tell
from breeding.words.numbers import joined, percent

NAMED = 3  # pairs of each sort
STEPS = 10_000  # a lower chance is proposed as finely as the form takes it


class WayOut(str):
    """What would have to give, in words. query: what says so in the address of the plan; empty
    where it is not said in one place."""

    query: str = ""

    @classmethod
    def of(cls, words: str, **query: object) -> "WayOut":
        found = cls(words)
        found.query = urlencode(query)
        return found


def ways_to_the_trait(asked: Asked, holds: Callable[[Asked], bool]) -> list[WayOut]:
    """The highest chance with which all can hold, and the most pairs; each was tried."""
    wish, chances = asked.wishes.trait, asked.chances
    if wish is None or chances is None:
        return []

    def asking(**less: float) -> Asked:
        return replace(asked, wishes=replace(asked.wishes, trait=wish.but(**less)))  # type: ignore[arg-type]

    found = []
    levels = np.unique(np.floor(chances[chances < wish.least] * STEPS) / STEPS)
    levels = levels[levels > 0]
    low, high = 0, len(levels)  # the lower the chance, the more holds
    while low < high:
        middle = (low + high) // 2
        low, high = (middle + 1, high) if holds(asking(least=levels[middle])) else (low, middle)
    if low:
        least = float(levels[low - 1])
        words = wish.but(least=least).words
        found.append(WayOut.of(words, trait_least=f"{100 * least:.2f}"))
    for pairs in range(wish.pairs - 1, 0, -1):
        if holds(asking(pairs=pairs)):
            return [*found, WayOut.of(wish.but(pairs=pairs).words, trait_pairs=pairs)]
    return found


def nearest_to_the_trait(asked: Asked) -> tuple[str, ...]:
    """Pairs that may be, with the highest chance; then those with the chance, and what is
    against them."""
    wish, chances = asked.wishes.trait, asked.chances
    if wish is None or chances is None:
        return ()
    barred = asked.barred(asked.binding) | asked.too_close
    found = []
    open_to = np.where(barred, -1.0, chances)
    for row, column in _highest(open_to, asked.inbreeding):
        found.append(
            tell(
                "{female} with {male}: {chance}, F {inbreeding}",
                female=asked.females[row],
                male=asked.males[column],
                chance=chance_of(float(chances[row, column])),
                inbreeding=percent(float(asked.inbreeding[row, column])),
            )
        )
    enough = np.where(barred & asked.with_trait, chances, -1.0)
    for row, column in _highest(enough, asked.inbreeding):
        found.append(
            tell(
                "{female} with {male}: {chance}, but {reasons}",
                female=asked.females[row],
                male=asked.males[column],
                chance=chance_of(float(chances[row, column])),
                reasons=joined(list(against(asked, row, column))),
            )
        )
    return tuple(found)


@dataclass(frozen=True)
class WithTrait:
    """A pair that would give the trait: names, the chance, F, and what stands against the two."""

    female: str
    male: str
    chance: float
    inbreeding: float
    against: tuple[str, ...]

    @property
    def words(self) -> str:
        values = {"female": self.female, "male": self.male, "chance": chance_of(self.chance)}
        values["inbreeding"] = percent(self.inbreeding)
        if not self.against:
            return tell("{female} with {male}: {chance}, F {inbreeding}", **values)
        return tell(
            "{female} with {male}: {chance}, F {inbreeding}; {reasons}",
            reasons=joined(list(self.against)),
            **values,
        )


def not_chosen(pairs: Sequence[WithTrait]) -> tuple[str, ...]:
    """The few of highest chance, of lower F and with less against them first."""
    found = sorted(pairs, key=lambda one: (-round(one.chance, 9), one.inbreeding, len(one.against)))
    return tuple(one.words for one in found[:NAMED])


def _highest(chances: np.ndarray, inbreeding: np.ndarray) -> list[tuple[int, int]]:
    """The pairs of highest chance, those of lower F first; none without any chance."""
    order = np.lexsort((inbreeding.ravel(), -np.round(chances, 9).ravel()))[:NAMED]
    places = [divmod(int(at), chances.shape[1]) for at in order]
    return [pair for pair in places if chances[pair] > 0]


def against(asked: Asked, row: int, column: int) -> Iterator[str]:
    """Which of the wishes a pair does not meet, each as a part of a sentence."""
    wishes, at = asked.wishes, (row, column)
    if asked.too_close[at]:
        yield tell("F {inbreeding}", inbreeding=percent(float(asked.inbreeding[at])))
    if wishes.keep_species and asked.across_species[at]:
        yield tell("their young would be hybrids")
    if wishes.keep_strains and asked.across_strains[at]:
        yield tell("they are of two strains")
    if asked.too_wide[at] and not asked.must[at]:
        yield tell("he is too wide for her")
    if asked.must_not[at]:
        yield tell("you ruled them out")
