"""Who else there would be for a female, and which pair would come in if one were left out."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from breeding.planning.season.nearest import against
from breeding.planning.season.priced import Priced
from breeding.planning.season.wishes import Asked, Bools
from breeding.words.descent.diversity import points_between
from breeding.words.language import tell, tell_many
from breeding.words.numbers import joined, percent
from breeding.words.plans import pair_words
from pedigree import NoPlan
from pedigree.plans.allocation import Pairs
from pedigree.rows import Floats

MOST_TRIED = 6  # pairs of a plan for which it is made again without them
MOST_CELLS = 1_500  # in a larger table that takes too long for a page
APART = 5e-5  # what is less is not shown


@dataclass(frozen=True)
class Tables:
    """Over females (rows) and males (columns). gained: what a litter adds to gene diversity, which
    is `diversity` now; allowed: pairs that the wishes allow."""

    asked: Asked
    prices: Priced
    gained: Floats
    allowed: Bools
    diversity: float

    def is_unsaid(self, pair: tuple[int, int]) -> bool:
        return not self.prices.on_record[pair] and bool(self.prices.could_be[pair] > 0)

    def names(self, pair: tuple[int, int]) -> str:
        return pair_words((self.asked.females[pair[0]], self.asked.males[pair[1]]))

    def inbreeding(self, pair: tuple[int, int]) -> float:
        return float(self.prices.on_record[pair])

    def points(self, pairs: Sequence[tuple[int, int]]) -> str:
        """What these litters cost together, one by one."""
        change = sum(float(self.gained[pair]) for pair in pairs)
        return points_between(self.diversity, self.diversity + change)


def next_best(tables: Tables, row: int, column: int) -> int | None:
    """The male of lowest F for her beside this one, as the plan reckons; None: nobody else."""
    cost = np.where(tables.allowed[row], tables.prices.cost[row], np.inf)
    cost[column] = np.inf
    best = int(cost.argmin())
    return best if np.isfinite(cost[best]) else None


def none_for_her(tables: Tables, row: int, column: int = -1) -> str:
    """That no other male is allowed, and who comes nearest; column: he whom she has already."""
    others = [(row, at) for at in range(len(tables.asked.males)) if at != column]
    return _none_of(tables, others, tables.asked.males, 1)


def none_for_him(tables: Tables, column: int) -> str:
    """The same of the females for a male that has none."""
    others = [(at, column) for at in range(len(tables.asked.females))]
    return _none_of(tables, others, tables.asked.females, 0)


def _none_of(
    tables: Tables, pairs: Sequence[tuple[int, int]], names: Sequence[str], side: int
) -> str:
    asked = tables.asked
    barred = [pair for pair in pairs if not tables.allowed[pair]]
    if not barred:
        return tell("there is nobody else to choose from")

    def far(pair: tuple[int, int]) -> tuple[bool, int, float]:
        is_across = asked.wishes.keep_species and bool(asked.across_species[pair])
        return is_across, len(list(against(asked, *pair))), tables.inbreeding(pair)

    pair = min(barred, key=far)
    values = {"animal": names[pair[side]], "inbreeding": percent(tables.inbreeding(pair))}
    reasons = list(against(asked, *pair))
    if asked.too_close[pair] and len(reasons) == 1:
        return tell(
            "of those who are free none has F {limit}; nearest is {animal}, F {inbreeding}",
            limit=asked.wishes.limit_words,
            **values,
        )
    return tell(
        "none that your wishes allow; nearest is {animal}, F {inbreeding}, but {reasons}",
        reasons=joined([one for one in reasons if one != _inbreeding(tables, pair)]),
        **values,
    )


def _inbreeding(tables: Tables, pair: tuple[int, int]) -> str:
    """As `against` says it of a pair that is too close."""
    return tell("F {inbreeding}", inbreeding=percent(tables.inbreeding(pair)))


def better_for_her(tables: Tables, pair: tuple[int, int], lowest: int, pairs: Pairs) -> str:
    """Why she has not the male of lowest F for her; empty where she has. pairs: of the plan."""
    row, column = pair
    if tables.asked.must[pair] or lowest == column:
        return ""
    his, asked = (row, lowest), tables.asked
    low, high = tables.inbreeding(his), tables.inbreeding(pair)
    if high - low <= APART:
        return ""
    values = {"male": asked.males[lowest], "inbreeding": percent(low)}
    with_others = [asked.females[one] for one, male in pairs if male == lowest]
    if with_others:
        return tell(
            "With {male} F would be {inbreeding}; the plan gives him to {females}.",
            females=joined(with_others),
            **values,
        )
    gained, other = float(tables.gained[pair]), float(tables.gained[his])
    if gained > other + APART:
        return tell(
            "With {male} F would be {inbreeding}, but a litter of theirs does less for the "
            "program: many here carry what he carries.",
            **values,
        )
    return tell(
        "With {male} F would be {inbreeding}; the plan weighs all its pairings together.", **values
    )


def instead_of(
    pairs: Pairs, tables: Tables, plan_of: Callable[[Asked], Pairs]
) -> Iterator[tuple[tuple[int, int], tuple[str, ...]]]:
    """Of the first pairs of a plan: what the plan would be without each, and why it is not that.

    plan_of: makes the plan anew. Nothing of large tables, for which that takes long.
    """
    if tables.allowed.size > MOST_CELLS:
        return
    for pair in [one for one in pairs if not tables.asked.must[one]][:MOST_TRIED]:
        table = tables.asked.must_not.copy()
        table[pair] = True
        try:
            others = plan_of(replace(tables.asked, must_not=table))
        except NoPlan:
            others = ()
        yield pair, tuple(_said(pair, pairs, others, tables))


def _said(pair: tuple[int, int], pairs: Pairs, others: Pairs, tables: Tables) -> Iterator[str]:
    comes = [one for one in others if one not in pairs]
    goes = [one for one in pairs if one not in others]
    if not others:
        yield tell("Without these two no plan is left.")
        return
    if not comes:
        yield tell_many(
            "Without these two only {number} pairing is left.",
            "Without these two only {number} pairings are left.",
            len(others),
        )
        return
    said = [
        tell(
            "{pair} (F {inbreeding})",
            pair=tables.names(one),
            inbreeding=percent(tables.inbreeding(one)),
        )
        for one in comes
    ]
    yield tell_many(
        "Without these two {pairs} would come in.",
        "Without these two {pairs} would come in.",
        len(comes),
        pairs=joined(said),
    )
    if also := [tables.names(one) for one in goes if one != pair]:
        yield tell_many(
            "{pairs} would go as well.", "{pairs} would go as well.", len(also), pairs=joined(also)
        )
    if len(others) < len(pairs):
        yield tell_many(
            "That would be {number} pairing in all.",
            "That would be {number} pairings in all.",
            len(others),
        )
        return
    yield " ".join(_preferred(goes, comes, tables))


def _preferred(
    goes: Sequence[tuple[int, int]], comes: Sequence[tuple[int, int]], tables: Tables
) -> Iterator[str]:
    """What speaks for what is in the plan, and what for the other way."""
    mine, its = ([tables.inbreeding(one) for one in some] for some in (goes, comes))
    mean, other = sum(mine) / len(mine), sum(its) / len(its)
    gained, lost = (sum(float(tables.gained[one]) for one in some) for some in (goes, comes))
    unsaid = [one for one in comes if tables.is_unsaid(one)]
    better = []
    if len(unsaid) > sum(tables.is_unsaid(one) for one in goes):
        better.append(tell("nobody knows whether {pairs} are kin", pairs=_both(unsaid, tables)))
    if gained > lost + APART:
        better.append(
            tell(
                "the program loses less: {points} points of gene diversity instead of {other}",
                points=tables.points(goes),
                other=tables.points(comes),
            )
            if gained < 0
            else tell("the program gains more gene diversity")
        )
    if mean < other - APART:
        better.append(
            tell("F is lower: {mean} instead of {other}", mean=percent(mean), other=percent(other))
        )
    if not better:
        yield tell("That would do about as well; the plan weighs all its pairings together.")
        return
    yield tell("These are preferred, because {reasons}.", reasons=joined(better))
    if other < mean - APART:
        yield tell(
            "F would be lower the other way: {other} instead of {mean}.",
            mean=percent(mean),
            other=percent(other),
        )


def _both(pairs: Sequence[tuple[int, int]], tables: Tables) -> str:
    asked = tables.asked
    return joined([joined([asked.females[row], asked.males[at]]) for row, at in pairs])
