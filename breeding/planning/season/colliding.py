"""Why a plan for the season cannot be: which wishes collide, and what to loosen; pure."""

import itertools
from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np

from breeding.planning.season.nearest import (
    DirectWay,
    WayOut,
    nearest_to_the_trait,
    ways_to_the_trait,
)
from breeding.planning.season.wishes import Asked, Bools
from breeding.words.language import tell, tell_many
from breeding.words.numbers import joined, percent
from breeding.words.plans import bottleneck_words, pair_words
from pedigree.plans.collisions import bottleneck, can_be, largest
from pedigree.plans.rules import SLACK

MOST_SAID = 3  # collisions in words; one has to be dealt with before the next matters
ORDER = (  # of equally small sets the first in this order is named
    "litters",
    "most_pairings",
    "trait",
    "per_male",
    "most",
    "below",
    "keep_species",
    "keep_strains",
    "sizes",
    "must_not",
    "per_female",
    "must",
)


@dataclass(frozen=True)
class Collision:
    """A smallest set of wishes that cannot hold together: without any one of them the rest can."""

    wishes: tuple[str, ...]
    words: str


class WishesCollide(ValueError):  # noqa: N818 - reads as a sentence
    """No plan keeps all the wishes.

    `collisions`: every smallest set of them, fewest wishes first. `ways_out`: by how much one of
    them can give so that there is a plan, all else kept; each was tried. Where no single one is
    enough, `together` are the fewest that are, given up altogether. `nearest`: where a trait is
    wished for, the pairs that come nearest, and what stands against those with its chance.
    """

    def __init__(
        self,
        collisions: Sequence[Collision],
        ways_out: Sequence[WayOut],
        together: Sequence[str],
        nearest: Sequence[DirectWay] = (),
    ) -> None:
        self.collisions, self.nearest = tuple(collisions), tuple(nearest)
        self.ways_out, self.together = tuple(ways_out), tuple(together)
        super().__init__(" ".join(one.words for one in collisions[:MOST_SAID]))

    @property
    def said(self) -> tuple[str, ...]:
        """The collisions in words, no more than one reads."""
        return tuple(one.words for one in self.collisions[:MOST_SAID])


def can_hold(asked: Asked, keep: frozenset[str]) -> bool:
    """Whether there is a plan when only these of the wishes hold.

    Cost: one largest flow, well under a second for 200 females by 60 males.
    """
    limit = asked.wishes.most_pairings if "most_pairings" in keep else None
    if limit is not None and "must" in keep and int(asked.must.sum()) > limit:
        return False
    rules = asked.rules(keep)
    if not can_be(rules, rules.given):
        return False
    if limit is None or "trait" not in keep or largest(rules, rules.given) <= limit:
        return True
    return can_be(replace(rules, litters=limit), rules.given | {"litters"})


def colliding(asked: Asked) -> WishesCollide:
    """Which wishes collide, by trying every set of them (at most 2^12), and the ways out."""
    binding = [name for name in ORDER if name in asked.binding]

    @cache
    def holds(keep: frozenset[str]) -> bool:
        return can_hold(asked, keep)

    found: list[tuple[str, ...]] = []
    for size in range(1, len(binding) + 1):
        for some in itertools.combinations(binding, size):
            smaller = any(set(one) <= set(some) for one in found)
            if not smaller and not holds(frozenset(some)):
                found.append(some)
    everything = frozenset(binding)
    ways = []
    for name in (name for name in binding if holds(everything - {name})):
        if name == "trait":
            ways += ways_to_the_trait(asked, lambda one: can_hold(one, everything))
        else:
            ways.append(_way_out(asked, name, everything))
    together = next(
        some
        for size in range(len(binding) + 1)
        for some in itertools.combinations(binding, size)
        if holds(everything - set(some))
    )
    return WishesCollide(
        [Collision(some, _words(asked, some)) for some in found],
        [one for one in ways if one],
        [_clause(asked, name) for name in together] if len(together) > 1 else (),
        nearest_to_the_trait(asked) if "trait" in binding else (),
    )


# ------------------------------------------------------------------------------- in words


def _words(asked: Asked, some: tuple[str, ...]) -> str:
    keep = frozenset(some)
    asked = _only_at_issue(asked, keep)
    clauses = [_clause(asked, name) for name in some]
    if some == ("litters",):
        rows, columns = asked.inbreeding.shape
        return tell_many(
            "You ask for {wish}, and {females} and {males} make only {number} pair.",
            "You ask for {wish}, and {females} and {males} make only {number} pairs.",
            rows * columns,
            wish=clauses[0],
            females=tell_many("{number} female", "{number} females", rows),
            males=tell_many("{number} male", "{number} males", columns),
        )
    if len(some) == 1:
        said = tell("Nobody can be paired: you ask for {wish}.", wish=clauses[0])
    else:
        said = tell("You ask for {wishes}; that cannot all be.", wishes=joined(clauses))
    return " ".join([said, *_because(asked, some)])


def _because(asked: Asked, some: tuple[str, ...]) -> Iterator[str]:
    """What a reader can check."""
    rules = asked.rules(frozenset(some))
    if "must" in some:
        if "most" in some and asked.wishes.most is not None:
            over = asked.must & (asked.inbreeding > asked.wishes.most + SLACK)
            for row, column in np.argwhere(over).tolist():
                yield tell(
                    "{pair} has F {inbreeding}.",
                    pair=pair_words(rules.pair(row, column)),
                    inbreeding=percent(asked.inbreeding[row, column]),
                )
        return
    if some in (("most",), ("below",)):
        yield tell(
            "The lowest F of any pair is {share}.", share=percent(float(asked.inbreeding.min()))
        )
    elif some == ("trait",):
        return
    elif len(some) > 1:
        yield bottleneck_words(bottleneck(rules, rules.given))


def _clause(asked: Asked, name: str) -> str:
    wishes = asked.wishes
    clauses: dict[str, Callable[[], str]] = {
        "litters": lambda: _in_all(wishes.litters or 0),
        "most_pairings": lambda: (
            tell("no more pairings than the program bears ({number})", number=wishes.most_pairings)
            if not wishes.is_by_tanks
            else tell("no more pairings than free tanks ({number})", number=wishes.most_pairings)
            if wishes.most_pairings
            else tell("no more pairings than free tanks (none is free)")
        ),
        "trait": lambda: wishes.trait.words if wishes.trait else "",
        "per_male": lambda: tell_many(
            "at most {number} litter of each male",
            "at most {number} litters of each male",
            wishes.per_male or 0,
        ),
        "per_female": lambda: tell_many(
            "at most {number} litter of each female",
            "at most {number} litters of each female",
            wishes.per_female,
        ),
        "most": lambda: tell("F of at most {share}", share=percent(wishes.most or 0)),
        "below": lambda: tell(
            "no pair for which a reason has to be written (F of {share} or more)",
            share=percent(wishes.below or 0),
        ),
        "keep_species": lambda: tell("pure species kept pure"),
        "keep_strains": lambda: tell("pairs only within a strain"),
        "sizes": lambda: tell("no male much wider than the female"),
        "must": lambda: tell("{pairs} together", pairs=_pairs(asked, asked.must)),
        "must_not": lambda: tell("{pairs} not together", pairs=_pairs(asked, asked.must_not)),
    }
    return clauses[name]()


def _in_all(number: int) -> str:
    return tell_many("{number} pairing in all", "{number} pairings in all", number)


def _pairs(asked: Asked, table: Bools) -> str:
    return joined(
        [joined([asked.females[row], asked.males[at]]) for row, at in np.argwhere(table).tolist()],
        last="as well as",
    )


# ---------------------------------------------------------------------------- what to loosen


def _only_at_issue(asked: Asked, keep: frozenset[str]) -> Asked:
    """The same with no more pairs kept or ruled out by hand than are needed to collide."""
    for name in ("must", "must_not"):
        if name in keep:
            for pair in np.argwhere(getattr(asked, name)).tolist():
                fewer = _with_pair(asked, name, pair, False)
                if not can_hold(fewer, keep):
                    asked = fewer
    return asked


def _to_give_up(asked: Asked, name: str, everything: frozenset[str]) -> Bools:
    """Pairs kept or ruled out by hand that cannot stay so, when one after the other is tried."""
    table: Bools = getattr(asked, name)
    nothing: dict[str, Any] = {name: np.zeros_like(table)}
    standing = replace(asked, **nothing)
    for pair in np.argwhere(table).tolist():
        more = _with_pair(standing, name, pair, True)
        if can_hold(more, everything):
            standing = more
    left: Bools = table & ~getattr(standing, name)
    return left


def _with_pair(asked: Asked, name: str, pair: list[int], is_in: bool) -> Asked:
    table = getattr(asked, name).copy()
    table[tuple(pair)] = is_in
    change: dict[str, Any] = {name: table}
    return replace(asked, **change)


def _way_out(asked: Asked, name: str, everything: frozenset[str]) -> WayOut:
    """The least by which this one wish has to give, all others kept; empty: it cannot."""

    def least(values: Sequence[float]) -> float:
        """The first value of the wish with which all hold; they hold with the last."""
        changes: list[dict[str, Any]] = [{name: value} for value in values]
        wishes = [replace(asked.wishes, **change) for change in changes]
        at = bisect_left(
            wishes, True, key=lambda one: can_hold(replace(asked, wishes=one), everything)
        )
        return values[at]

    rows, columns = asked.inbreeding.shape
    if name == "litters":
        rules = asked.rules(everything)
        most = largest(rules, rules.given)
        return WayOut.of(_in_all(most), litters=most) if most > 0 else WayOut()
    if name == "most":
        # Upwards to what the form takes: hundredths of a per cent.
        levels = np.unique(np.ceil(asked.inbreeding * 10_000 - 1e-6) / 10_000)
        level = least(levels.tolist())
        words = tell("F up to {most}", most=percent(level))
        return WayOut.of(words, most=f"{100 * level:.2f}")
    if name in ("per_female", "per_male"):
        number = int(least(range(1, rows + columns)))
        if name == "per_female":
            words = tell_many(
                "up to {number} litter of each female",
                "up to {number} litters of each female",
                number,
            )
            return WayOut.of(words, per_female=number)
        words = tell_many(
            "up to {number} litter of each male", "up to {number} litters of each male", number
        )
        return WayOut.of(words, per_male=number)
    if name in ("must", "must_not"):
        pairs = _pairs(asked, _to_give_up(asked, name, everything))
        if name == "must":
            return WayOut.of(tell("{pairs} not kept together", pairs=pairs))
        return WayOut.of(tell("{pairs} allowed again", pairs=pairs))
    if name == "most_pairings":
        number = int(asked.must.sum())
        return WayOut.of(
            tell_many("room for {number} pairing", "room for {number} pairings", number)
        )
    if name == "sizes":
        return WayOut.of(tell("a pair with a wider male kept by hand"))
    words, field = {
        "below": (tell("pairs for which a reason has to be written"), "no_reason"),
        "keep_species": (tell("new hybrids allowed"), "keep_species"),
        "keep_strains": (tell("pairs across strains allowed"), "keep_strains"),
    }[name]
    return WayOut.of(words, **{field: "false"})
