"""Why a plan of pairings cannot hold more litters, as a sum that a reader can check."""

from collections.abc import Iterator, Sequence
from typing import Any

from breeding.words.numbers import counted, joined, one_or_more, percent, some
from pedigree.plans.collisions import Bottleneck, Collision, NoPlan, WayOut
from pedigree.plans.rules import Rules

MOST_NAMED = 4


def no_plan_words(found: NoPlan) -> str:
    """Why there is no plan: which rules collide, what that leaves, and what would help."""
    rows, columns = found.given.inbreeding.shape
    if not found.found:
        return f"No plan: there is no {'male' if rows else 'female'} to choose from."
    first, *others = found.found
    if found.given.litters is not None and found.given.litters > rows * columns:
        wanted = counted(found.given.litters, "litter is", "litters are")
        return (
            f"No plan: {wanted} wanted, but {rows} x {columns} animals make only "
            f"{counted(rows * columns, 'pair')}, each planned once at most. "
            f"{_ways_out(found)}"
        )
    verb = "this cannot be kept" if len(first.kinds) == 1 else "these cannot all be kept"
    parts = [f"No plan: {_collision_words(found.given, first)}; {verb}."]
    parts.append(bottleneck_words(found.bottleneck))
    if found.too_close:
        close = [
            f"{pair_words(pair)} is {percent(inbreeding)}" for pair, inbreeding in found.too_close
        ]
        parts.append(f"F of {some(close, MOST_NAMED)}.")
    parts += [f"Also: {_collision_words(found.given, one)}." for one in others]
    parts.append(_ways_out(found))
    return " ".join(part for part in parts if part)


def _collision_words(rules: Rules, found: Collision) -> str:
    return joined([_rule_words(rules, kind, found.required) for kind in found.kinds])


def _rule_words(rules: Rules, kind: str, required: Sequence[tuple[Any, Any]]) -> str:
    """One rule as a clause; of the required pairs only those at issue."""
    if kind == "litters":
        return f"{counted(rules.litters or 0, 'litter is', 'litters are')} wanted"
    if kind == "most":
        return f"F may be at most {percent(rules.most or 0)}"
    if kind == "per_female":
        return _room_words("female", rules.female_room.tolist(), rules.females)
    if kind == "per_male":
        return _room_words("male", rules.male_room.tolist(), rules.males)
    if kind == "required":
        return f"there must be {_pairs(required)}"
    barred = [
        (female, male)
        for row, female in enumerate(rules.females)
        for column, male in enumerate(rules.males)
        if rules.forbidden[row, column]
    ]
    return f"not allowed {one_or_more(len(barred), 'is', 'are')} {_pairs(barred)}"


def _room_words(noun: str, room: Sequence[int], names: Sequence[Any]) -> str:
    if len(set(room)) == 1:
        return f"each {noun} may have at most {counted(room[0], 'litter')}"
    each = [f"{name} {number}" for name, number in zip(names, room, strict=True) if number]
    in_all = counted(sum(room), "litter")
    return f"of the {noun}s at most {in_all} ({some(each, MOST_NAMED)})"


def _ways_out(found: NoPlan) -> str:
    ways = sorted(way_out_words(one) for one in found.ways_out)
    return f"There would be a plan with {' or with '.join(ways)}." if ways else ""


def way_out_words(way: WayOut) -> str:
    """What of one rule would have to give.

    >>> way_out_words(WayOut("most", 0.125)), way_out_words(WayOut("per_male", 2))
    ('F up to 12.5 %', 'up to 2 litters for each male')
    """
    to = way.to or 0
    return {
        "litters": f"{counted(int(to), 'litter')} in all",
        "most": f"F up to {percent(to)}",
        "per_female": f"up to {counted(int(to), 'litter')} for each female",
        "per_male": f"up to {counted(int(to), 'litter')} for each male",
        "forbidden": f"{_pairs(way.pairs)} allowed",
        "required": f"no need for {_pairs(way.pairs)}",
    }[way.rule]


def _pairs(pairs: Sequence[tuple[Any, Any]]) -> str:
    return some([pair_words(one) for one in pairs], MOST_NAMED)


def pair_words(pair: tuple[Any, Any]) -> str:
    return f"{pair[0]} with {pair[1]}"


def bottleneck_words(found: Bottleneck | None) -> str:
    """What keeps the number of litters down; empty where nothing does.

    >>> bottleneck_words(Bottleneck(2, (("male", 1, ("Altair", "Deneb")),), 0))
    'That leaves at most 2 litters: 1 litter each of Altair and Deneb.'
    """
    if found is None:
        return ""
    if not found.most:
        return "That leaves no pair at all."
    parts = list(_rooms(found))
    if found.others:
        parts.append(f"{counted(found.others, 'pair')} of the others")
    reason = f": {joined(parts)}" if parts else ""
    return f"That leaves at most {counted(found.most, 'litter')}{reason}."


def _rooms(found: Bottleneck) -> Iterator[str]:
    """`1 litter of Altair`; where many have the same room, `2 litters each of 40 males`."""
    for noun, litters, who in found.rooms:
        each = " each" if len(who) > 1 else ""
        few = len(who) <= MOST_NAMED
        named = joined([str(one) for one in who]) if few else counted(len(who), noun)
        yield f"{counted(litters, 'litter')}{each} of {named}"
