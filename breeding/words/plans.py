"""A pair, and why a plan of pairings cannot hold more litters: as a sum that can be checked."""

from collections.abc import Iterator
from typing import Any

from breeding.words.language import tell, tell_many
from breeding.words.numbers import joined
from pedigree.plans.collisions import Bottleneck

MOST_NAMED = 4


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
