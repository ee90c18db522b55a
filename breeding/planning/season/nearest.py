"""Where a trait that is wished for cannot be had as asked: what comes nearest; pure."""

from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from urllib.parse import urlencode

import numpy as np

from breeding.planning.season.trait_wish import TraitWish
from breeding.planning.season.wishes import Asked
from breeding.words.language import tell
from breeding.words.numbers import percent

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

    def holds_with(less: TraitWish) -> bool:
        return holds(replace(asked, wishes=replace(asked.wishes, trait=less)))

    found = []
    levels = np.unique(np.floor(chances[chances < wish.least] * STEPS) / STEPS)
    rarer = [wish.but(least=level) for level in levels[levels > 0].tolist()]
    if one := _last_that_holds(rarer, holds_with):
        found.append(WayOut.of(one.words, trait_least=f"{100 * one.least:.2f}"))
    fewer = [wish.but(pairs=number) for number in range(1, wish.pairs)]
    if one := _last_that_holds(fewer, holds_with):
        found.append(WayOut.of(one.words, trait_pairs=one.pairs))
    return found


def _last_that_holds(
    wishes: Sequence[TraitWish], holds: Callable[[TraitWish], bool]
) -> TraitWish | None:
    """Of wishes that ask for more and more: what holds with one holds with all before it."""
    at = bisect_left(wishes, True, key=lambda one: not holds(one))
    return wishes[at - 1] if at else None


@dataclass(frozen=True)
class DirectWay:
    """Two whose young have the trait that is wished for with some chance, and F of these young.

    row, column: their places among the females and the males. against: what stands against them,
    each a part of a sentence. is_too_close: whether F is among them. is_across: whether the wish
    for pure species does so too.
    """

    row: int
    column: int
    chance: float
    inbreeding: float
    against: tuple[str, ...] = ()
    is_too_close: bool = False
    is_across: bool = False


def nearest_to_the_trait(asked: Asked) -> tuple[DirectWay, ...]:
    """Pairs that may be, with the highest chance; then those with the chance, and what is
    against them."""
    wish, chances = asked.wishes.trait, asked.chances
    if wish is None or chances is None:
        return ()

    def way(row: int, column: int) -> DirectWay:
        return DirectWay(
            row,
            column,
            float(chances[row, column]),
            float(asked.inbreeding[row, column]),
            tuple(against(asked, row, column, species=False)),
            is_too_close=bool(asked.too_close[row, column]),
            is_across=asked.wishes.keep_species and bool(asked.across_species[row, column]),
        )

    barred = asked.barred(asked.binding) | asked.too_close
    open_to = np.where(barred, -1.0, chances)
    enough = np.where(barred & asked.with_trait, chances, -1.0)
    return tuple(
        way(*pair) for table in (open_to, enough) for pair in _highest(table, asked.inbreeding)
    )


def likeliest(ways: Sequence[DirectWay]) -> tuple[DirectWay, ...]:
    """The few of highest chance, of lower F and with less against them first."""
    order = sorted(ways, key=lambda one: (-round(one.chance, 9), one.inbreeding, len(one.against)))
    return tuple(order[:NAMED])


def _highest(chances: np.ndarray, inbreeding: np.ndarray) -> list[tuple[int, int]]:
    """The pairs of highest chance, those of lower F first; none without any chance."""
    order = np.lexsort((inbreeding.ravel(), -np.round(chances, 9).ravel()))[:NAMED]
    places = [divmod(int(at), chances.shape[1]) for at in order]
    return [pair for pair in places if chances[pair] > 0]


def against(
    asked: Asked, row: int, column: int, *, close: bool = True, species: bool = True
) -> Iterator[str]:
    """Which of the wishes a pair does not meet, each as a part of a sentence.

    close: whether the limits of F are among them; species: whether pure species kept pure are.
    """
    wishes, at = asked.wishes, (row, column)
    if close and asked.too_close[at]:
        yield tell("F {inbreeding}", inbreeding=percent(float(asked.inbreeding[at])))
    if species and wishes.keep_species and asked.across_species[at]:
        yield tell("their young would be hybrids")
    if wishes.keep_strains and asked.across_strains[at]:
        yield tell("they are of two strains")
    if asked.too_wide[at] and not asked.must[at]:
        yield tell("he is too wide for her")
    if asked.must_not[at]:
        yield tell("you ruled them out")
