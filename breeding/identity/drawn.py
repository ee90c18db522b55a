"""Two discs side by side and the lines that join their spots, as numbers for a drawing."""

from collections.abc import Sequence
from dataclasses import dataclass

from breeding.identity.models import PatternReading
from breeding.identity.queries import Likeness
from breeding.spots.frame import REACH

SIDE = 100.0  # of one square of the drawing
GAP = 6.0
THINNEST = 1.2


@dataclass(frozen=True)
class Ring:
    """One spot of a drawing."""

    x: float
    y: float
    r: float
    is_paired: bool


@dataclass(frozen=True)
class Line:
    """Joins a spot on the left with its partner on the right."""

    x1: float
    y1: float
    x2: float
    y2: float


@dataclass(frozen=True)
class BesideEachOther:
    """The disc asked about on the left, one on record on the right: 206 wide, 100 high."""

    left: tuple[Ring, ...]
    right: tuple[Ring, ...]
    lines: tuple[Line, ...]

    @property
    def rings(self) -> tuple[Ring, ...]:
        """Those of both discs."""
        return self.left + self.right

    wide: float = 2 * SIDE + GAP
    shifted: float = SIDE + GAP


def rings(
    spots: Sequence[Sequence[float]], paired: set[int], *, shift: float = 0
) -> tuple[Ring, ...]:
    """Spots of a disc's frame in a square of 100 a side.

    >>> rings([[0, 0, 0.115]], {0})
    (Ring(x=50.0, y=50.0, r=5.0, is_paired=True),)
    """
    return tuple(
        Ring(*_place(x, y, shift), max(_scaled(radius), THINNEST), row in paired)
        for row, (x, y, radius) in enumerate(spots)
    )


def _place(x: float, y: float, shift: float) -> tuple[float, float]:
    return _scaled(x + REACH) + shift, _scaled(y + REACH)


def _scaled(length: float) -> float:
    return round(length / (2 * REACH) * SIDE, 2)


def beside(seen: PatternReading, likeness: Likeness) -> BesideEachOther:
    """The picture asked about beside the picture on record that agrees best."""
    return laid_beside(seen.spots, likeness.reading.spots, likeness.pairs)


def laid_beside(
    seen: Sequence[Sequence[float]],
    known: Sequence[Sequence[float]],
    pairs: Sequence[tuple[int, int]],
) -> BesideEachOther:
    """Spots of two discs, those that agree joined. pairs: rows of `seen` and of `known`."""
    left = rings(seen, {one for one, _ in pairs})
    right = rings(known, {other for _, other in pairs}, shift=SIDE + GAP)
    lines = tuple(
        Line(left[one].x, left[one].y, right[other].x, right[other].y) for one, other in pairs
    )
    return BesideEachOther(left, right, lines)
