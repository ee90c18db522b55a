"""Why a plan of pairings cannot hold more litters, as a sum that a reader can check."""

from collections.abc import Iterator, Sequence
from typing import Any

from breeding.words.language import says, tell, tell_as, tell_many
from breeding.words.numbers import joined, percent, some
from pedigree.plans.collisions import Bottleneck, Collision, NoPlan, WayOut
from pedigree.plans.rules import Rules

MOST_NAMED = 4


@says
def no_plan_words(found: NoPlan) -> str:
    """Why there is no plan: which rules collide, what that leaves, and what would help."""
    rows, columns = found.given.inbreeding.shape
    if not found.found and rows:
        return tell("No plan: there is no male to choose from.")
    if not found.found:
        return tell("No plan: there is no female to choose from.")
    first, *others = found.found
    litters = found.given.litters
    if litters is not None and litters > rows * columns:
        wanted = tell_many(
            "No plan: {number} litter is wanted, but {rows} x {columns} animals make only {pairs}, "
            "each planned once at most.",
            "No plan: {number} litters are wanted, but {rows} x {columns} animals make only "
            "{pairs}, each planned once at most.",
            litters,
            rows=rows,
            columns=columns,
            pairs=tell_many("{number} pair", "{number} pairs", rows * columns),
        )
        return f"{wanted} {_ways_out(found)}"
    rules = _collision_words(found.given, first)
    if len(first.kinds) == 1:
        parts = [tell("No plan: {rules}; this cannot be kept.", rules=rules)]
    else:
        parts = [tell("No plan: {rules}; these cannot all be kept.", rules=rules)]
    parts.append(bottleneck_words(found.bottleneck))
    if found.too_close:
        close = [
            tell("{pair} is {share}", pair=pair_words(pair), share=percent(inbreeding))
            for pair, inbreeding in found.too_close
        ]
        parts.append(tell("F of {pairs}.", pairs=some(close, MOST_NAMED)))
    parts += [tell("Also: {rules}.", rules=_collision_words(found.given, one)) for one in others]
    parts.append(_ways_out(found))
    return " ".join(part for part in parts if part)


def _collision_words(rules: Rules, found: Collision) -> str:
    return joined([_rule_words(rules, kind, found.required) for kind in found.kinds])


def _rule_words(rules: Rules, kind: str, required: Sequence[tuple[Any, Any]]) -> str:
    """One rule as a clause; of the required pairs only those at issue."""
    if kind == "litters":
        return tell_many(
            "{number} litter is wanted", "{number} litters are wanted", rules.litters or 0
        )
    if kind == "most":
        return tell("F may be at most {share}", share=percent(rules.most or 0))
    if kind == "per_female":
        return _room_of_females(rules.female_room.tolist(), rules.females)
    if kind == "per_male":
        return _room_of_males(rules.male_room.tolist(), rules.males)
    if kind == "required":
        return tell("there must be {pairs}", pairs=_pairs(required))
    barred = [
        (female, male)
        for row, female in enumerate(rules.females)
        for column, male in enumerate(rules.males)
        if rules.forbidden[row, column]
    ]
    return tell_many(
        "not allowed is {pairs}", "not allowed are {pairs}", len(barred), pairs=_pairs(barred)
    )


def _room_of_females(room: Sequence[int], names: Sequence[Any]) -> str:
    if len(set(room)) == 1:
        return tell_many(
            "each female may have at most {number} litter",
            "each female may have at most {number} litters",
            room[0],
        )
    return tell_many(
        "of the females at most {number} litter ({each})",
        "of the females at most {number} litters ({each})",
        sum(room),
        each=_each_room(room, names),
    )


def _room_of_males(room: Sequence[int], names: Sequence[Any]) -> str:
    if len(set(room)) == 1:
        return tell_many(
            "each male may have at most {number} litter",
            "each male may have at most {number} litters",
            room[0],
        )
    return tell_many(
        "of the males at most {number} litter ({each})",
        "of the males at most {number} litters ({each})",
        sum(room),
        each=_each_room(room, names),
    )


@says
def _each_room(room: Sequence[int], names: Sequence[Any]) -> str:
    each = [f"{name} {number}" for name, number in zip(names, room, strict=True) if number]
    return some(each, MOST_NAMED)


@says
def _ways_out(found: NoPlan) -> str:
    ways = sorted(way_out_words(one) for one in found.ways_out)
    if not ways:
        return ""
    between = tell_as("between ways out, each of which would do", " or with ")
    return tell("There would be a plan with {ways}.", ways=between.join(ways))


def way_out_words(way: WayOut) -> str:
    """What of one rule would have to give.

    >>> way_out_words(WayOut("most", 0.125)), way_out_words(WayOut("per_male", 2))
    ('F up to 12.5 %', 'up to 2 litters for each male')
    """
    to = way.to or 0
    if way.rule == "litters":
        return tell_many("{number} litter in all", "{number} litters in all", int(to))
    if way.rule == "most":
        return tell("F up to {share}", share=percent(to))
    if way.rule == "per_female":
        return tell_many(
            "up to {number} litter for each female",
            "up to {number} litters for each female",
            int(to),
        )
    if way.rule == "per_male":
        return tell_many(
            "up to {number} litter for each male", "up to {number} litters for each male", int(to)
        )
    if way.rule == "forbidden":
        return tell("{pairs} allowed", pairs=_pairs(way.pairs))
    return tell("no need for {pairs}", pairs=_pairs(way.pairs))


def _pairs(pairs: Sequence[tuple[Any, Any]]) -> str:
    return some([pair_words(one) for one in pairs], MOST_NAMED)


def pair_words(pair: tuple[Any, Any]) -> str:
    return tell("{female} with {male}", female=pair[0], male=pair[1])


def bottleneck_words(found: Bottleneck | None) -> str:
    """What keeps the number of litters down; empty where nothing does.

    >>> bottleneck_words(Bottleneck(2, (("male", 1, ("Altair", "Deneb")),), 0))
    'That leaves at most 2 litters: 1 litter each of Altair and Deneb.'
    """
    if found is None:
        return ""
    if not found.most:
        return tell("That leaves no pair at all.")
    parts = list(_rooms(found))
    if found.others:
        parts.append(
            tell_many("{number} pair of the others", "{number} pairs of the others", found.others)
        )
    if not parts:
        return tell_many(
            "That leaves at most {number} litter.",
            "That leaves at most {number} litters.",
            found.most,
        )
    return tell_many(
        "That leaves at most {number} litter: {reasons}.",
        "That leaves at most {number} litters: {reasons}.",
        found.most,
        reasons=joined(parts),
    )


def _rooms(found: Bottleneck) -> Iterator[str]:
    """`1 litter of Altair`; where many have the same room, `2 litters each of 40 males`."""
    for noun, litters, who in found.rooms:
        if len(who) > MOST_NAMED:
            named = _so_many(noun, len(who))
        else:
            named = joined([str(one) for one in who])
        if len(who) > 1:
            yield tell_many(
                "{number} litter each of {animals}",
                "{number} litters each of {animals}",
                litters,
                animals=named,
            )
        else:
            yield tell_many(
                "{number} litter of {animals}",
                "{number} litters of {animals}",
                litters,
                animals=named,
            )


def _so_many(noun: str, number: int) -> str:
    if noun == "male":
        return tell_many("{number} male", "{number} males", number)
    return tell_many("{number} female", "{number} females", number)
