"""Discs laid side by side on the floor of a tank, as wide as those in it are; pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from breeding.housing.space import Floor


@dataclass(frozen=True)
class Disc:
    """A circle of the drawing, in mm of the floor."""

    x: float
    y: float
    radius: float
    name: str


def laid_out(floor: Floor, animals: Sequence[tuple[float, str]]) -> list[Disc]:
    """Discs side by side in rows, the widest first; what finds no place on it lies below.

    Each with a gap of a tenth of its width. It shows sizes and not where they lie.

    >>> [(disc.x, disc.y) for disc in laid_out(Floor(1000, 500), [(400, "Mira"), (400, "Deneb")])]
    [(220.0, 220.0), (660.0, 220.0)]
    """
    discs = []
    x = y = deep = 0.0
    for width, name in animals:
        room = width + width / 10
        if x and x + room > floor.length:
            x, y, deep = 0.0, y + deep, 0.0
        discs.append(Disc(x + room / 2, y + room / 2, width / 2, name))
        x, deep = x + room, max(deep, room)
    return discs
