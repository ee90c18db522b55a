"""The disc of a picture, straightened into a square, for eyes rather than for reckoning."""

from collections.abc import Sequence
from io import BytesIO
from typing import IO, Any

import numpy as np
from numpy.typing import NDArray

from breeding.identity.taps import as_array
from breeding.spots.frame import REACH, Frame

SIDE_PX = 480


def pixels_of(file: IO[Any]) -> NDArray[np.uint8]:
    """A kept picture as uint8 (h, w, 3)."""
    from PIL import Image

    with Image.open(file) as picture:
        return np.asarray(picture.convert("RGB"))


def straight_jpeg(file: IO[Any], taps: Sequence[Sequence[float]]) -> bytes:
    """The disc with its surroundings, snout up, as a JPEG of 480 pixels a side."""
    from PIL import Image

    frame = Frame.of_taps(as_array(taps))
    step = 2 * REACH / SIDE_PX
    first = frame.middle - REACH * (frame.across + frame.along)
    with Image.open(file) as picture:
        square = picture.convert("RGB").transform(
            (SIDE_PX, SIDE_PX),
            Image.Transform.AFFINE,
            (
                float(frame.across[0] * step), float(frame.along[0] * step), float(first[0]),
                float(frame.across[1] * step), float(frame.along[1] * step), float(first[1]),
            ),
            resample=Image.Resampling.BILINEAR,
        )  # fmt: skip
    kept = BytesIO()
    square.save(kept, "JPEG", quality=82)
    return kept.getvalue()


def place_in_frame(x: float, y: float, shown_px: float) -> tuple[float, float]:
    """A tap on the square as it is shown, `shown_px` wide, as a place in the disc's frame.

    >>> place_in_frame(170, 170, 340)
    (0.0, 0.0)
    """
    return (2 * x / shown_px - 1) * REACH, (2 * y / shown_px - 1) * REACH
