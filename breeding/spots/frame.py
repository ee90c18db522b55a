"""The disc's own frame: four taps on a picture, and the disc straightened by them; pure.

In the frame half the width of the disc is 1: x from -1 at the left edge to 1 at the right edge, y
from -1 at the snout to 1 at the base of the tail. Length and width are stretched each to its own
measure, which takes out most of a tilted camera.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

NAMES = ("snout tip", "left edge", "right edge", "tail base")
SIDE = 240  # pixels of the straightened picture, each way
REACH = 1.15  # how far it goes from the middle, in half widths
SCALE = SIDE / (2 * REACH)  # its pixels in half a width
LEAST_PIXELS = 40  # a narrower disc shows no spots
LEAST_SINE = 0.25  # of the angle between width and length: a disc seen flatter is no disc
OUTSIDE = 0.2  # how far a tap may lie off the picture, in half widths
LUMINANCE = np.array([0.299, 0.587, 0.114], np.float32)  # ITU-R BT.601


@dataclass(frozen=True)
class Frame:
    """Where the disc lies in a picture, in pixels: its middle and half its width and length.

    middle, across (to the right edge) and along (to the tail): each (2,), x then y.
    """

    middle: Floats
    across: Floats
    along: Floats

    def to_pixels(self, places: Floats) -> Floats:
        """(n, 2) places in the frame, as pixels x, y.

        >>> Frame.of_taps(np.array([[5, 0], [0, 5], [10, 5], [5, 10.0]]) * 9).to_pixels(
        ...     np.array([[0, 0], [1, -1.0]])).tolist()
        [[45.0, 45.0], [90.0, 0.0]]
        """
        found: Floats = self.middle + places @ np.array([self.across, self.along])
        return found

    def from_pixels(self, pixels: Floats) -> Floats:
        """(n, 2) pixels x, y, as places in the frame."""
        inverse: Floats = np.linalg.inv(np.array([self.across, self.along]))
        return (pixels - self.middle) @ inverse

    @classmethod
    def of_taps(cls, points: Floats) -> "Frame":
        """The frame nearest to four taps, by least squares in pixels.

        points: (4, 2), x and y of snout tip, left edge, right edge and tail base. The corners of
        the frame lie square to each other, so that the fit is a mean and two half differences.
        Raises ValueError for another shape, for what is no number, for taps on a line, for a
        disc of under 40 pixels, and for mirrored taps (left and right, or snout and tail, swapped).
        """
        taps = _numbers(points)
        snout, left, right, tail = taps
        frame = cls(taps.mean(0), (right - left) / 2, (tail - snout) / 2)
        _is_a_disc(frame, taps)
        return frame


def _numbers(points: Floats) -> Floats:
    try:
        taps: Floats = np.asarray(points, dtype=np.float64)
    except (TypeError, ValueError):
        raise ValueError(f"points is {points!r}; it must be four taps of two numbers.") from None
    if taps.shape != (4, 2):
        raise ValueError(f"points has the shape {taps.shape}; it must be (4, 2): {_names()}.")
    for name, tap in zip(NAMES, taps, strict=True):
        if not np.isfinite(tap).all():
            raise ValueError(f"The {name} is {_said(tap)}; it must be two numbers, pixels x and y.")
    return taps


def _names() -> str:
    return f"x and y of {', '.join(NAMES)}"


def _said(tap: Floats) -> str:
    return f"({tap[0]:g}, {tap[1]:g})"


def _is_a_disc(frame: Frame, taps: Floats) -> None:
    width, length = 2 * np.linalg.norm(frame.across), 2 * np.linalg.norm(frame.along)
    shown = ", ".join(f"{name} {_said(tap)}" for name, tap in zip(NAMES, taps, strict=True))
    if min(width, length) < LEAST_PIXELS:
        raise ValueError(
            f"The disc is {width:.0f} pixels wide and {length:.0f} long; "
            f"it must be at least {LEAST_PIXELS} each way ({shown})."
        )
    area = frame.across[0] * frame.along[1] - frame.across[1] * frame.along[0]
    sine = 4 * area / (width * length)
    if abs(sine) < LEAST_SINE:
        raise ValueError(
            f"The taps lie nearly on a line ({shown}); "
            "width and length of the disc must cross at 15 degrees or more."
        )
    if sine < 0:
        raise ValueError(
            f"The taps are mirrored ({shown}); with the snout up, the left edge must be on the "
            "left: swap left and right edge, or turn a mirrored picture back."
        )


def check_image(image: NDArray[np.uint8]) -> None:
    """Raises ValueError unless it is a picture: uint8 (h, w, 3) with at least one pixel."""
    if not isinstance(image, np.ndarray):
        raise ValueError(f"image is a {type(image).__name__}; it must be an array of numpy.")
    if image.ndim != 3 or image.shape[2] != 3:
        raise ValueError(f"image has the shape {image.shape}; it must be (height, width, 3).")
    if image.dtype != np.uint8:
        raise ValueError(f"image holds {image.dtype}; it must hold uint8, 0 to 255.")
    if image.size == 0:
        raise ValueError(f"image is empty, {image.shape}; it must have at least one pixel.")


def check_on_picture(image: NDArray[np.uint8], points: Floats, frame: Frame) -> None:
    """Raises ValueError for a tap that lies off the picture by more than a tenth of the width."""
    height, width = image.shape[:2]
    off = OUTSIDE * float(np.linalg.norm(frame.across))
    for name, tap in zip(NAMES, np.asarray(points, dtype=np.float64), strict=True):
        if (tap < -off).any() or tap[0] > width + off or tap[1] > height + off:
            raise ValueError(
                f"The {name} is {_said(tap)}; it must lie on the picture, "
                f"x from 0 to {width} and y from 0 to {height}."
            )


def straightened(image: NDArray[np.uint8], frame: Frame) -> NDArray[np.float32]:
    """The disc's luminance in its frame: float32 (240, 240), 0 to 255, over ±1.15 each way.

    What lies beyond the picture repeats its rim. Only the part with the disc is read, and made
    small by means of whole blocks first, so that a picture of 12 million pixels costs little more.
    """
    from scipy import ndimage  # not loaded where no picture is read

    corners = frame.to_pixels(np.array([[-1, -1], [1, -1], [-1, 1], [1, 1]]) * REACH)
    size = np.array(image.shape[1::-1])
    low = np.clip(np.floor(corners.min(0)).astype(int) - 2, 0, size - 1)
    high = np.clip(np.ceil(corners.max(0)).astype(int) + 3, low + 1, size)
    grey = image[low[1] : high[1], low[0] : high[0]].astype(np.float32) @ LUMINANCE
    block = _block(frame, grey.shape)
    grey = _means_of_blocks(grey, block)
    step = np.array([frame.across, frame.along]).T / SCALE / block  # pixels x, y a cell x, y
    middle = (frame.middle - low + 0.5) / block - 0.5
    first = middle - step @ np.full(2, (SIDE - 1) / 2)
    found: NDArray[np.float32] = ndimage.affine_transform(
        grey, step[::-1, ::-1], first[::-1], (SIDE, SIDE), order=1, mode="nearest"
    )
    return found


def _block(frame: Frame, shape: tuple[int, ...]) -> int:
    """Pixels of the picture, each way, that make one of the small one."""
    finest = min(np.linalg.norm(frame.across), np.linalg.norm(frame.along)) / SCALE
    return max(1, min(int(finest + 0.3), *shape))


def _means_of_blocks(grey: NDArray[np.float32], block: int) -> NDArray[np.float32]:
    if block == 1:
        return grey
    high, wide = (side // block for side in grey.shape)
    whole = grey[: high * block, : wide * block]
    means: NDArray[np.float32] = whole.reshape(high, block, wide, block).mean((1, 3))
    return means


def cells(places: Floats) -> Floats:
    """(n, 2) places in the frame, as columns and rows of the straightened picture."""
    return places * SCALE + (SIDE - 1) / 2


def places_of(columns_and_rows: Floats) -> Floats:
    """The reverse of `cells`."""
    return (columns_and_rows - (SIDE - 1) / 2) / SCALE
