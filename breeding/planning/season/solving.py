"""The best plan for what is asked: by F alone, or with the program's diversity in it; pure."""

from typing import Any

import numpy as np

from breeding.planning.season.priced import Priced
from breeding.planning.season.wishes import Asked, Bools
from pedigree.plans.allocation import Plan, plan_pairings
from pedigree.plans.balanced import balanced_plan
from pedigree.plans.rules import SLACK
from pedigree.rows import Floats


def solved(asked: Asked, prices: Priced, gained: Floats) -> tuple[Plan, Plan]:
    """The plan, and that of least F alone. Raises NoPlan where the wishes cannot hold.

    gained: what a litter of each pair adds to gene diversity. Where there is room for fewer than
    could be paired, those of the plan for all that add most are taken, if diversity counts.
    """
    wishes, table = asked.wishes, prices.on_record
    names: dict[str, Any] = {"females": asked.females, "males": asked.males}
    rules = asked.arguments() | {"cost": prices.cost}
    plan = plan_pairings(table, **rules, **names)
    room = wishes.most_pairings
    is_more = room is not None and len(plan.pairs) > room
    if is_more:
        plan = plan_pairings(table, **rules | {"litters": room}, **names)
    if not wishes.diversity:
        return plan, plan
    del rules["cost"]
    if (most := rules.pop("most")) is not None:  # of F on record, whatever is reckoned with
        rules["forbidden"] = rules["forbidden"] | (table > most + SLACK) & ~rules["required"]
    balanced = balanced_plan(
        prices.kinship,
        prices.rows,
        prices.columns,
        diversity=wishes.diversity,
        **rules,
        female_names=asked.females,
        male_names=asked.males,
    ).plan
    if not is_more or room is None:
        return balanced, plan
    wanted = wishes.trait.pairs if wishes.trait and asked.chances is not None else 0
    return _worth_most(balanced, prices, gained, room, rules, asked.with_trait, wanted), plan


def _worth_most(
    plan: Plan,
    prices: Priced,
    gained: Floats,
    room: int,
    rules: dict[str, Any],
    with_trait: Bools,
    wanted: int,
) -> Plan:
    """The pairs of a plan that are worth most, and the best way to pair these animals.

    Kept first are those that must be, then as many with the trait as are wanted.
    """

    def worth(pair: tuple[int, int]) -> tuple[bool, bool, float]:
        is_unsaid = not prices.on_record[pair] and bool(prices.could_be[pair] > 0)
        return not rules["required"][pair], is_unsaid, -float(gained[pair])

    in_order = sorted(plan.pairs, key=worth)
    for_trait = set([pair for pair in in_order if with_trait[pair]][:wanted])
    in_order.sort(key=lambda pair: (not rules["required"][pair], pair not in for_trait))
    used = np.zeros_like(prices.on_record, np.int64)
    for pair in in_order[:room]:
        used[pair] = 1
    return plan_pairings(
        prices.on_record,
        cost=prices.cost,
        **rules | {"per_female": used.sum(axis=1), "per_male": used.sum(axis=0), "litters": room},
        females=plan.rules.females,
        males=plan.rules.males,
    )
