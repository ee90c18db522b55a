"""How many pairings the tanks, the buyers and the program itself bear; pure."""

import math
from dataclasses import dataclass

from breeding.words.language import tell, tell_many
from breeding.words.numbers import figure

HELD_BACK = 2  # of a litter, for the program itself; assumption


@dataclass(frozen=True)
class Bearable:
    """So many pairings, and why; None: nothing on record limits them."""

    number: int | None
    words: tuple[str, ...]


def bearable(
    *,
    free_tanks: int | None,
    wanted: int | None,
    per_litter: float,
    thin_lines: int = 0,
) -> Bearable:
    """The least of what each says; lines nearly lost are bred though nobody waits for the young.

    free_tanks: tanks with nobody in them, or only with young that leave first; None: no
    tank is on record. wanted: young that buyers wait for; None: nobody keeps a list. per_litter:
    young to be expected of each. At least one pairing, so that there is a plan to look at.

    >>> bearable(free_tanks=3, wanted=20, per_litter=6).number
    3
    >>> bearable(free_tanks=9, wanted=7, per_litter=6).number
    2
    >>> bearable(free_tanks=None, wanted=None, per_litter=6).number is None
    True
    """
    said, numbers = [], []
    if free_tanks is not None:
        numbers.append(free_tanks)
        said.append(
            tell("no tank is free, and each litter needs one: a single pairing is planned")
            if not free_tanks
            else tell_many(
                "{number} tank is free or will be once the young in it have left, and each litter "
                "needs one",
                "{number} tanks are free or will be once the young in them have left, and each "
                "litter needs one",
                free_tanks,
            )
        )
    if wanted is not None:
        for_buyers = max(1.0, per_litter - HELD_BACK)
        numbers.append(max(math.ceil(wanted / for_buyers), thin_lines))
        said.append(
            tell_many(
                "buyers wait for {number} young one, a litter has about {young}, of which "
                "{held} are held back",
                "buyers wait for {number} young, a litter has about {young}, of which {held} are "
                "held back",
                wanted,
                young=figure(per_litter, 1, trimmed=True),
                held=HELD_BACK,
            )
        )
    return Bearable(max(1, min(numbers)) if numbers else None, tuple(said))
