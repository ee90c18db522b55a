"""How far other plans are behind the season's plan, in words; and the mean F of a plan."""

import numpy as np

from breeding.planning.season.priced import BEYOND_TIES, Priced
from breeding.planning.season.wishes import Wishes
from breeding.words.language import tell, tell_many
from breeding.words.numbers import percent, points
from pedigree.plans.allocation import Pairs, Plan
from pedigree.rows import Floats


def second_best(plan: Plan, wishes: Wishes) -> str:
    """Of the plans that were compared: with diversity in it, those of just these animals."""
    behind = plan.second_best_behind
    if behind == float("inf"):
        if wishes.diversity:
            return tell(
                "There is no other way to pair just these animals that meets your wishes; with "
                "other animals there may be, as is said under “Why these two”."
            )
        return tell("There is no other plan of as many pairings that meets your wishes.")
    if behind <= BEYOND_TIES:
        return tell("Another plan is just as good; this is one of the best.")
    return tell(
        "The second best plan has {points} points of F more over all its pairings.",
        points=points(behind),
    )


def lowest_first(plan: Plan, least: Plan, prices: Priced) -> str:
    """How taking the pair of lowest F first, again and again, compares on both counts."""
    other = least.lowest_first
    if len(other.pairs) < len(plan.pairs):
        return tell_many(
            "Taking the pair of lowest F first, then the next, and so on, would end with {number} "
            "pairing instead of {planned}.",
            "Taking the pair of lowest F first, then the next, and so on, would end with {number} "
            "pairings instead of {planned}.",
            len(other.pairs),
            planned=len(plan.pairs),
        )
    mean_here, mean = (mean_of(prices.on_record, pairs) for pairs in (plan.pairs, other.pairs))
    mine, its = (_kept(prices, pairs) for pairs in (plan.pairs, other.pairs))
    if abs(mean - mean_here) <= 1e-12 and abs(mine - its) <= 1e-12:
        return tell(
            "Taking the pair of lowest F first, then the next, and so on, would come to the same "
            "here."
        )
    return tell(
        "Taking the pair of lowest F first, then the next, and so on, would give a mean F of "
        "{mean} instead of {mean_here}, and young that keep {kept} of the gene diversity instead "
        "of {kept_here}.",
        mean=percent(mean),
        mean_here=percent(mean_here),
        kept=percent(its),
        kept_here=percent(mine),
    )


def mean_of(table: Floats, pairs: Pairs) -> float:
    return sum(float(table[pair]) for pair in pairs) / len(pairs) if pairs else 0.0


def _kept(prices: Priced, pairs: Pairs) -> float:
    """Gene diversity of very many young of these pairs, as many of each: 1 - c'Kc."""
    shares = np.zeros(len(prices.among))
    for row, column in pairs:
        shares[prices.rows[row]] += 0.5 / len(pairs)
        shares[prices.columns[column]] += 0.5 / len(pairs)
    return 1 - float(shares @ prices.among @ shares)
