"""How much food is meant for a body of a weight: arithmetic on figures it is handed; pure."""

import math
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Grams:
    """A span of grams, both ends counted."""

    least: float
    most: float

    def __add__(self, other: "Grams") -> "Grams":
        return Grams(self.least + other.least, self.most + other.most)

    def times(self, factor: float) -> "Grams":
        return Grams(self.least * factor, self.most * factor)


def weight_of_width(width_mm: float, *, factor: float, power: float, doubt: float) -> Grams:
    """A body's weight from its disc width: factor times the width in cm to a power.

    doubt: the share by which it may be off either way. Raises ValueError for a width that is none.

    >>> span = weight_of_width(200, factor=0.0586, power=2.9285, doubt=0)
    >>> round(span.least, 1), round(span.most, 1)
    (378.4, 378.4)
    >>> span = weight_of_width(200, factor=0.0586, power=2.9285, doubt=0.3)
    >>> round(span.least), round(span.most)
    (265, 492)

    Source: P. wallacei, Braz J Biol 2024; no pair is published for other species.
    """
    if not width_mm > 0:
        raise ValueError(f"{width_mm!r} is no width; allowed is anything above 0 mm.")
    grams = factor * (width_mm / 10) ** power
    return Grams(grams * (1 - doubt), grams * (1 + doubt))


def weekly_ration(body: Grams, *, least_share: float, most_share: float) -> Grams:
    """Food for a week, from shares of the body's weight.

    >>> weekly_ration(Grams(1000, 1000), least_share=0.04, most_share=0.06)
    Grams(least=40.0, most=60.0)

    Source of the usual shares: Janse et al. 2004, via the Clinical Guide to Fish Medicine.
    """
    return Grams(body.least * least_share, body.most * most_share)


def together(rations: Iterable[Grams | None]) -> tuple[Grams | None, int]:
    """The sum of those that are known, and of how many none is; None when none is known.

    >>> together([Grams(40, 60), None, Grams(4, 6)])
    (Grams(least=44, most=66), 1)
    >>> together([None])
    (None, 1)
    """
    every = list(rations)
    known = [one for one in every if one is not None]
    total = None
    for one in known:
        total = one if total is None else total + one
    return total, len(every) - len(known)


def a_round(weekly: Grams, rounds_a_week: float) -> Grams:
    """What a week's food makes of one round. Raises ValueError for no rounds.

    >>> a_round(Grams(42, 63), 7)
    Grams(least=6.0, most=9.0)
    """
    if not rounds_a_week > 0:
        raise ValueError(f"{rounds_a_week!r} rounds a week are none; allowed is more than 0.")
    return weekly.times(1 / rounds_a_week)


def shown(grams: float) -> float:
    """As a scale at the tank reads it: to a tenth below ten grams, whole up to 100, then by 5.

    >>> shown(0.04), shown(7.46), shown(42.4), shown(153)
    (0.1, 7.5, 42.0, 155.0)
    """
    if grams < 10:
        return max(0.1, math.floor(grams * 10 + 0.5) / 10)
    step = 1 if grams < 100 else 5
    return float(math.floor(grams / step + 0.5) * step)
