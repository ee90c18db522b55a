"""The best plan for what is asked: by F alone, or with the program's diversity in it; pure."""

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np

from breeding.planning.season.priced import Priced
from breeding.planning.season.wishes import Asked
from pedigree import LivingKinship
from pedigree.plans.allocation import Plan, plan_pairings
from pedigree.plans.balanced import balanced_plan
from pedigree.plans.rules import SLACK
from pedigree.rows import Floats

UNSAID = 10.0  # more than F and kinship can come to: pairs that nobody knows to be unrelated


class Solved(NamedTuple):
    """The plan, and that of least F alone. are_few: whether there is room for fewer than could be
    paired, and the plan took those whose litters are worth most, each weighed by itself."""

    plan: Plan
    least: Plan
    are_few: bool


def solved(
    asked: Asked, prices: Priced, gained: Floats, mean_kinship: Floats, living: int, litter: int
) -> Solved:
    """Raises NoPlan where the wishes cannot hold.

    gained: what a litter of each pair, of so many young, adds to the gene diversity of the living.
    mean_kinship: of each of the females and then of the males with all the living.
    Where there is room for fewer than could be paired, those are taken that are worth most.
    """
    wishes, table = asked.wishes, prices.on_record
    names: dict[str, Any] = {"females": asked.females, "males": asked.males}
    rules = asked.arguments() | {"cost": prices.cost}
    plan = plan_pairings(table, **rules, **names)
    room = wishes.most_pairings
    are_few = room is not None and len(plan.pairs) > room
    if are_few:
        plan = plan_pairings(table, **rules | {"litters": room}, **names)
    if not wishes.diversity:
        return Solved(plan, plan, are_few=False)
    del rules["cost"]
    if (most := rules.pop("most")) is not None:  # of F on record, whatever is reckoned with
        rules["forbidden"] = rules["forbidden"] | (table > most + SLACK) & ~rules["required"]
    if are_few:
        worth = worth_of_few(prices, gained, living, litter, wishes.diversity)
        few = _best_few(worth, prices, rules | {"litters": room}, names)
        return Solved(few, plan, are_few=True)
    young = litter * len(plan.pairs)
    balanced = balanced_plan(
        prices.kinship,
        prices.rows,
        prices.columns,
        diversity=wishes.diversity,
        young_share=young / max(young + living, 1),  # they join the living, as each page tells it
        mean_kinship=mean_kinship,
        **rules,
        female_names=asked.females,
        male_names=asked.males,
    ).plan
    return Solved(balanced, plan, are_few=False)


def with_the_living(kinship: LivingKinship, keys: Sequence[int]) -> Floats:
    """Mean kinship of each of these with all the living, themselves among them: (keys,)."""
    means = dict(zip(kinship.ids, kinship.mean_kinship.tolist(), strict=True))
    return np.array([means[key] for key in keys], np.float64)


def worth_of_few(
    prices: Priced, gained: Floats, living: int, litter: int, diversity: float
) -> Floats:
    """What single litters cost the program, the least best: (females, males), on the scale of F.

    F of the young and the kinship of their parents with all the living, weighed by `diversity`,
    0 to 1. A litter of n in a program of N lowers gene diversity by about 2 n N / (N + n)^2 times
    the mean kinship of its parents with the living, less what that of the program is: the loss is
    brought back to that scale. A pair of whom nobody knows whether they are kin comes after all
    others.
    """
    loss = -gained * (living + litter) ** 2 / (2 * litter * max(living, 1))
    is_unsaid = (prices.on_record == 0) & (prices.could_be > 0)
    found: Floats = (1 - diversity) * prices.cost + diversity * loss + UNSAID * is_unsaid
    return found


def _best_few(worth: Floats, prices: Priced, rules: dict[str, Any], names: dict[str, Any]) -> Plan:
    """Those that are worth most, and then the best way to pair just these animals."""
    taken = plan_pairings(prices.on_record, cost=worth, **rules, **names)
    used = np.zeros_like(prices.on_record, np.int64)
    for pair in taken.pairs:
        used[pair] = 1
    return plan_pairings(
        prices.on_record,
        cost=prices.cost,
        **rules | {"per_female": used.sum(axis=1), "per_male": used.sum(axis=0)},
        **names,
    )
