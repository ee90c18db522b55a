"""How many pairings the tanks, the buyers and the program itself bear, as a sum one can follow;
pure."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from breeding.words.language import tell, tell_as, tell_many
from breeding.words.numbers import figure, some

HELD_BACK = 2  # of a litter, for the program itself, where no litter here says; assumption
MOST_NAMED = 6


@dataclass(frozen=True)
class Bearable:
    """So many pairings, and why, a sentence each; None: nothing on record limits them."""

    number: int | None
    words: tuple[str, ...]
    is_none: bool = False  # nothing asks for one, or there is no room: one is planned all the same
    has_room: bool = True


@dataclass(frozen=True)
class Demand:
    """Young that buyers wait for, how many a litter has, and how many of them are held back.

    held: by what is said of the litters here now; None: there is none, and HELD_BACK is assumed.
    coming: litters that are under way or planned already.
    """

    wanted: int
    per_litter: float
    held: float | None = None
    coming: int = 0

    @property
    def for_buyers(self) -> float:
        """Of one litter, at least one."""
        return max(1.0, self.per_litter - (HELD_BACK if self.held is None else self.held))

    @property
    def litters(self) -> int:
        """For all that is wanted."""
        return math.ceil(self.wanted / self.for_buyers - 1e-9)

    @property
    def further(self) -> int:
        """Beside those that are coming."""
        return max(0, self.litters - self.coming)

    @property
    def words(self) -> str:
        if not self.coming or not self.litters:
            return self._sum
        said = tell_many(
            "{number} is under way or planned, so more for buyers: {further}.",
            "{number} are under way or planned, so more for buyers: {further}.",
            self.coming,
            further=self.further or tell_as("no further litter", "none"),
        )
        return f"{self._sum} {said}"

    @property
    def _sum(self) -> str:
        values = {
            "number": self.wanted,
            "young": figure(self.per_litter, 1, trimmed=True),
            "held": figure(HELD_BACK if self.held is None else self.held, 1, trimmed=True),
            "sold": figure(self.for_buyers, 1, trimmed=True),
            "litters": tell_many("{number} litter", "{number} litters", self.litters),
        }
        if self.held is None:
            return tell(
                "Buyers wait for {number} young; a litter has about {young}, and {held} of them "
                "held back (an assumption) leave {sold}: {litters}.",
                **values,
            )
        if not self.held:
            return tell(
                "Buyers wait for {number} young; a litter has about {young}, and of the litters "
                "here now none need be held back: {litters}.",
                **values,
            )
        return tell(
            "Buyers wait for {number} young; a litter has about {young}, and as many held back as "
            "of the litters here now ({held}) leave {sold}: {litters}.",
            **values,
        )


def bearable(
    *,
    tanks: Sequence[str] | None,
    taken: Sequence[str] = (),
    demand: Demand | None,
    thin_lines: int = 0,
) -> Bearable:
    """The least of what each says; lines nearly lost are bred though nobody waits for the young.

    tanks: those with nobody in them, or only with young that leave first, as they are said; None:
    no tank is on record. taken: whose litters under way or planned need one of them at the same
    time. demand: None where nobody keeps a list of buyers. At least one pairing, so that there is
    a plan to look at.

    >>> bearable(tanks=["North", "South"], demand=Demand(20, 6)).number
    2
    >>> bearable(tanks=["North", "South"], taken=["Mira"], demand=None).number
    1
    >>> bearable(tanks=list("ABCDEFGHI"), demand=Demand(7, 6)).number
    2
    >>> bearable(tanks=None, demand=None).number is None
    True
    """
    said, numbers, left = [], [], 0
    if tanks is not None:
        left = max(0, len(tanks) - len(taken))
        numbers.append(left)
        said += _of_tanks(tanks, taken, left)
    if demand is not None:
        numbers.append(max(demand.further, thin_lines))
        said.append(demand.words)
        if thin_lines > demand.further:
            said.append(
                tell_many(
                    "{number} line nearly lost goes through these females: it gets a litter, "
                    "though nobody waits for it.",
                    "{number} lines nearly lost go through these females: each gets a litter, "
                    "though nobody waits for it.",
                    thin_lines,
                )
            )
    if not numbers:
        return Bearable(None, ())
    number = max(1, min(numbers))
    if not min(numbers):
        said.append(
            tell("So none is needed or has room; one is planned all the same, to choose from.")
        )
    elif len(numbers) > 1:
        said.append(
            tell_many(
                "The fewer of both: {number} pairing.",
                "The fewer of both: {number} pairings.",
                number,
            )
        )
    return Bearable(number, tuple(said), not min(numbers), tanks is None or left > 0)


def _of_tanks(tanks: Sequence[str], taken: Sequence[str], left: int) -> list[str]:
    said = []
    if tanks:
        said.append(
            tell_many(
                "{number} tank for a litter: {tanks}.",
                "{number} tanks for litters: {tanks}.",
                len(tanks),
                tanks=some(list(tanks), MOST_NAMED),
            )
        )
    else:
        said.append(tell("No tank is free for a litter, nor will one be once young have left."))
    if taken and tanks:
        said.append(
            tell_many(
                "{number} is needed by then for a litter under way or planned ({females}).",
                "{number} are needed by then for litters under way or planned ({females}).",
                len(taken),
                females=some(list(taken), MOST_NAMED),
            )
        )
    said.append(
        tell_many(
            "Each further litter needs one: room for {number} pairing.",
            "Each further litter needs one: room for {number} pairings.",
            left,
        )
        if left
        else tell("Each further litter needs one: room for none.")
    )
    return said
