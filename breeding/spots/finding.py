"""The spots of a ray in a picture, light ones or dark ones: where they lie and how large; pure.

The evened skin is cut at several levels, as in stable regions (Matas et al. 2002, BMVC 384-393):
what is cut out is an island, its holes are filled so that a ring counts as a disc, and islands that
reach the rim or are larger than any spot are ground. Where many levels agree, a blob of the
scale-space Laplacian (Lindeberg 1998, Int J Comput Vis 30:79-116) is a spot. Dark spots are light
ones of the picture turned negative; the kind that weighs more is the pattern.
"""

from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from breeding.spots.frame import (
    SCALE,
    SIDE,
    Frame,
    cells,
    check_image,
    check_on_picture,
    places_of,
    straightened,
)
from breeding.spots.ground import from_middle, on_disc, stands_off

Floats = NDArray[np.float64]
Cells = NDArray[np.float32]
Kind = TypeVar("Kind", bound=np.generic)

FINDER = "1"  # raise it whenever other spots are found in the same picture
MOST_SPOTS = 120
LEVELS = np.linspace(0.30, 1.15, 12)  # shares of a strong contrast
LARGEST_HOLE = 0.09  # radius, half widths
LARGEST_SPOT = 0.26
BEYOND = 1.06  # half widths: an island that reaches there is no spot
STEP = 1.37
SIGMAS = tuple(0.015 * STEP**step for step in range(6))  # half widths, to 0.072
DISC_OF_SPOTS = 0.96  # no spot beyond: there the rim and the sand begin
LEAST_STRENGTH = 0.16
OF_LARGER, OF_SMALLER = 1.05, 0.3  # radii by which spots lie apart
LEAST_ROUND = 0.30  # ratio of the curvatures: a streak of light has a small one
RADIUS_PER_SIGMA = 1.55
LEAST_HEIGHT = 0.03  # logarithms: 3 % lighter than the skin around
LEAST_SHARE = 0.25  # of the height of the clearer half
MOST_HEIGHT = 0.6  # what is lighter yet counts no more: it may be glare
BOTH_KINDS = 0.75  # with this share of the pattern's weight or more, the other kind counts as well


@dataclass(frozen=True)
class Reading:
    """What was seen in one picture.

    spots: float64 (n, 3), x, y, radius in the disc's frame. light: whether most are lighter than
    the skin. contrast: how far they stand off the skin, in logarithms (0.3: a third lighter).
    grain: the same of what is no pattern, such as noise and sand. finder: which finder it was.
    """

    spots: Floats
    light: bool
    contrast: float
    grain: float
    finder: str = FINDER


def find_spots(image: NDArray[np.uint8], points: Floats) -> Floats:
    """The spots of the ray in a picture: float64 (n, 3), x, y and radius in the disc's frame.

    image: uint8 (h, w, 3), red, green, blue. points: (4, 2), pixels x, y of snout tip, left edge,
    right edge of the disc (snout up) and tail base. In the frame half the width is 1, x runs to the
    right and y to the tail. The clearest come first, 120 at most; a skin without spots gives (0,
    3). Light spots on dark skin, dark ones on light skin, and rings. Raises ValueError with the
    value and what is allowed. Some 0.1 s, whatever the size of the picture.
    """
    return read_picture(image, points).spots


def read_picture(image: NDArray[np.uint8], points: Floats) -> Reading:
    """As `find_spots`, with how clear the picture was."""
    check_image(image)
    frame = Frame.of_taps(points)
    check_on_picture(image, points, frame)
    off = stands_off(straightened(image, frame))
    found = {sign: _spots_lighter(sign * off) for sign in (1, -1)}
    weight = {sign: _weight(one) for sign, one in found.items()}
    first = 1 if weight[1] >= weight[-1] else -1
    chosen = found[first]
    if weight[-first] > BOTH_KINDS * weight[first]:
        chosen = np.vstack([chosen, found[-first]])
    spots = _apart(chosen)[:MOST_SPOTS]
    contrast = float(np.median(spots[:, 4])) if len(spots) else 0.0
    return Reading(spots[:, :3], first == 1, contrast, _grain(off, spots))


def _weight(spots: Floats) -> float:
    """How much of a pattern spots make: few large ones are glare, many faint ones noise."""
    return float((spots[:, 2] * spots[:, 3] * np.minimum(spots[:, 4], MOST_HEIGHT)).sum())


def _spots_lighter(off: Cells) -> Floats:
    """Spots lighter than their ground: (n, 5), x, y, radius, strength and height."""
    spots = _apart(_blobs(_agreed(np.clip(off / _strong(off), 0, 1.3))))
    heights = np.array([_height(off, *one[:3]) for one in spots])
    spots = np.column_stack([spots, heights.reshape(-1)])
    if not len(spots):
        return spots
    usual = float(np.median(np.sort(heights)[len(heights) // 2 :]))
    kept: Floats = spots[heights > max(LEAST_HEIGHT, LEAST_SHARE * usual)]
    return kept


def _strong(off: Cells) -> float:
    """What counts as a strong contrast: most of a pattern stays below it."""
    return max(float(np.percentile(off[on_disc()], 96)), 0.03)


def _agreed(share: Cells) -> Cells:
    """The share of levels, 0 to 1, at which a cell belongs to a spot."""
    total: Cells = np.zeros(share.shape, np.float32)
    for level in LEVELS:
        total += _islands(share > level)
    total /= len(LEVELS)
    return total


def _islands(above: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The islands that can be spots, their small holes filled."""
    filled = above | _smaller_than(~above, LARGEST_HOLE)
    inside: NDArray[np.bool_] = filled & _smaller_than(filled, LARGEST_SPOT)
    return inside


def _smaller_than(where: NDArray[np.bool_], radius: float) -> NDArray[np.bool_]:
    """The connected parts of the area of a disc of this radius at most, none beyond the rim."""
    from scipy import ndimage  # not loaded where no picture is read

    labels, count = ndimage.label(where)
    area = np.bincount(labels.ravel(), minlength=count + 1)
    small = area <= np.pi * (radius * SCALE) ** 2
    small[labels[from_middle() > BEYOND]] = False
    small[0] = False
    kept: NDArray[np.bool_] = small[labels]
    return kept


def _blobs(agreed: Cells) -> Floats:
    """Maxima of the scaled Laplacian, over place and size."""
    from scipy import ndimage  # not loaded where no picture is read

    layers = _layers(agreed)
    peaks = layers == ndimage.maximum_filter(layers, (3, 5, 5), mode="nearest")
    peaks &= (layers > LEAST_STRENGTH) & (from_middle() < DISC_OF_SPOTS)
    size, row, column = np.nonzero(peaks)
    found = [
        one
        for at in zip(size.tolist(), row.tolist(), column.tolist(), strict=True)
        if (one := _measured(agreed, layers, *at)) is not None
    ]
    return np.array(found, np.float64).reshape(-1, 4)


def _layers(agreed: Cells) -> Cells:
    """How much each place stands over its surroundings, at each of the sizes: (6, 240, 240).

    Differences of Gaussians, which are the scaled Laplacian, negative, but for a constant.
    """
    from scipy import ndimage  # not loaded where no picture is read

    blurred, done = [], 0.0
    for sigma in (*SIGMAS, SIGMAS[-1] * STEP):
        agreed = ndimage.gaussian_filter(agreed, np.sqrt(sigma**2 - done**2) * SCALE, truncate=3)
        blurred.append(agreed)
        done = sigma
    found: Cells = -np.diff(np.array(blurred), axis=0) / (STEP - 1)
    return found


def _measured(
    agreed: Cells, layers: Cells, size: int, row: int, column: int
) -> tuple[float, float, float, float] | None:
    """A maximum as x, y, radius, strength, finer than a cell; None where it is a streak."""
    if not (0 < row < SIDE - 1 and 0 < column < SIDE - 1):
        return None
    near = layers[size, row - 1 : row + 2, column - 1 : column + 2]
    right, down = _vertex(near[1]), _vertex(near[:, 1])
    if _roundness(agreed, row, column, SIGMAS[size] * SCALE) < LEAST_ROUND:
        return None
    along = layers[:, row, column]
    step = _vertex(along[size - 1 : size + 2]) if 0 < size < len(SIGMAS) - 1 else 0.0
    sigma = SIGMAS[size] * STEP**step
    x, y = places_of(np.array([column + right, row + down]))
    return x, y, RADIUS_PER_SIGMA * sigma, float(along[size])


def _vertex(three: Cells) -> float:
    """Where a parabola through three values has its top, from -0.5 to 0.5 of a step."""
    before, at, after = (float(one) for one in three)
    bend = before - 2 * at + after
    return float(np.clip((before - after) / (2 * bend), -0.5, 0.5)) if bend < 0 else 0.0


def _roundness(agreed: Cells, row: int, column: int, sigma: float) -> float:
    """The smaller curvature over the larger, from the spread of the cells around: 1 is a disc."""
    reach = max(2, round(2.2 * sigma))
    rows = slice(max(0, row - reach), row + reach + 1)
    columns = slice(max(0, column - reach), column + reach + 1)
    part = agreed[rows, columns]
    down, right = np.mgrid[rows.start : rows.start + part.shape[0],
                           columns.start : columns.start + part.shape[1]]  # fmt: skip
    weight = part * np.exp(-((down - row) ** 2 + (right - column) ** 2) / (2 * (1.5 * sigma) ** 2))
    spread = np.cov(np.stack([down.ravel(), right.ravel()]), aweights=weight.ravel())
    low, high = np.linalg.eigvalsh(spread)
    return float(low / high)


def _apart(spots: Floats) -> Floats:
    """The strongest first, without those that lie on a stronger one or in its rim."""
    ordered = spots[np.argsort(-spots[:, 3] * np.sqrt(spots[:, 2]), kind="stable")]
    apart = np.hypot(*(ordered[:, None, :2] - ordered[None, :, :2]).transpose(2, 0, 1))
    larger = np.maximum(ordered[:, None, 2], ordered[None, :, 2])
    smaller = np.minimum(ordered[:, None, 2], ordered[None, :, 2])
    covers = apart < OF_LARGER * larger + OF_SMALLER * smaller
    kept: list[int] = []
    for row in range(len(ordered)):
        if not covers[row, kept].any():
            kept.append(row)
    return ordered[kept]


def _height(off: Cells, x: float, y: float, radius: float) -> float:
    """How far a spot stands off the skin around it, in logarithms."""
    part, far = _around(off, x, y, 2 * radius)
    inner, outer = far < 1.1 * radius, far > 1.35 * radius
    if not (inner.any() and outer.any()):
        return 0.0
    return float(part[inner].mean() - np.median(part[outer]))


def _around(off: NDArray[Kind], x: float, y: float, reach: float) -> tuple[NDArray[Kind], Floats]:
    """The cells around a place, and how far each is from it."""
    column, row = cells(np.array([x, y]))
    wide = int(reach * SCALE) + 1
    rows = slice(max(0, int(row) - wide), int(row) + wide + 2)
    columns = slice(max(0, int(column) - wide), int(column) + wide + 2)
    part = off[rows, columns]
    down = np.arange(part.shape[0])[:, None] + rows.start - row
    right = np.arange(part.shape[1])[None, :] + columns.start - column
    return part, np.hypot(down, right) / SCALE


def _grain(off: Cells, spots: Floats) -> float:
    """The unrest of what lies between the spots, in logarithms."""
    free = on_disc().copy()
    for x, y, radius in spots[:, :3]:
        part, far = _around(free, x, y, 1.3 * radius)
        part[far < 1.3 * radius] = False
    return float(np.median(np.abs(off[free]))) if free.any() else 0.0
