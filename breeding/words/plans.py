"""Why a plan of pairings cannot hold more litters, as a sum that a reader can check."""

from collections.abc import Iterator

from breeding.words.numbers import counted, joined
from pedigree.plans.collisions import Bottleneck

MOST_NAMED = 4


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
