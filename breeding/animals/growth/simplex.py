"""The lowest place of a height over a few unknowns, of which no slope is known; pure.

Corners of a simplex step away from the highest of them: Nelder and Mead 1965, Computer Journal
7:308-313, with their own lengths of step. scipy's `minimize` walks the same way and answers the
same; it takes as long beside the heights as these take themselves, and 0.1 s to be read.
"""

from collections.abc import Callable, Sequence

Point = tuple[float, ...]
Height = Callable[[Point], float]
Corner = tuple[float, Point]

APART = 0.05  # relative: the first corners, beside the first point
APART_FROM_NOTHING = 0.00025  # and where that is 0
MIRRORED, FURTHER, SHORT, INSIDE = 1.0, 2.0, 0.5, -0.5  # of the way through the other corners
SHRUNK = 0.5


def lowest(height: Height, first: Sequence[float], *, close: float, most_steps: int) -> Point:
    """The lowest corner once none is further than `close` away or higher, or after so many steps.

    >>> found = lowest(lambda at: (at[0] - 3) ** 2 + at[1] ** 2, (1, 1), close=1e-6, most_steps=200)
    >>> [round(one, 4) + 0.0 for one in found]
    [3.0, 0.0]
    """
    corners = sorted(((height(one), one) for one in _around(first)), key=_by_height)
    for _ in range(most_steps):
        if _are_close(corners, close):
            break
        better = _better(height, corners)
        if better is None:
            at = corners[0][1]
            shrunk = [_between(at, one, SHRUNK) for _, one in corners[1:]]
            corners = [corners[0], *((height(one), one) for one in shrunk)]
        else:
            corners[-1] = better
        corners.sort(key=_by_height)
    return corners[0][1]


def _by_height(corner: Corner) -> float:
    return corner[0]


def _around(first: Sequence[float]) -> list[Point]:
    point = tuple(float(one) for one in first)
    moved = [one * (1 + APART) if one else APART_FROM_NOTHING for one in point]
    return [point, *((*point[:n], one, *point[n + 1 :]) for n, one in enumerate(moved))]


def _are_close(corners: Sequence[Corner], close: float) -> bool:
    (lowest_height, at), *others = corners
    if others[-1][0] - lowest_height > close:
        return False
    return all(abs(a - b) <= close for _, one in others for a, b in zip(one, at, strict=True))


def _better(height: Height, corners: Sequence[Corner]) -> Corner | None:
    """What takes the place of the highest corner; None where nothing on its way is lower."""
    *others, (highest, worst) = corners
    middle = tuple(
        sum(parts) / len(others) for parts in zip(*(one for _, one in others), strict=True)
    )

    def at(length: float) -> Corner:
        point = _between(middle, worst, -length)
        return height(point), point

    mirrored = at(MIRRORED)
    if mirrored[0] < others[0][0]:
        further = at(FURTHER)
        return further if further[0] < mirrored[0] else mirrored
    if mirrored[0] < others[-1][0]:
        return mirrored
    if mirrored[0] < highest:
        short = at(SHORT)
        return short if short[0] <= mirrored[0] else None
    inside = at(INSIDE)
    return inside if inside[0] < highest else None


def _between(one: Point, other: Point, share: float) -> Point:
    return tuple(a + share * (b - a) for a, b in zip(one, other, strict=True))
