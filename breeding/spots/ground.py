"""The light evened out: how far each place of the skin stands off the skin around it; pure.

Contrast is taken of logarithms, so that shade, which takes a share of the light, takes nothing off
it (Retinex: Land & McCann 1971, J Opt Soc Am 61:1-11).
"""

from functools import cache

import numpy as np
from numpy.typing import NDArray

from breeding.spots.frame import REACH, SIDE

Floats = NDArray[np.float32]

FLOOR = 12.0  # of 255: darker is noise of the camera
COARSE = 5  # cells, each way, in one of the coarse picture on which the ground is sought
WINDOW = 0.5  # half widths: wider than a spot, narrower than a shade
DISC = 1.0  # what lies farther out is not the skin of every ray
_LINE = (np.arange(SIDE) + 0.5) / SIDE * 2 * REACH - REACH


@cache
def from_middle() -> NDArray[np.float64]:
    """How far each cell lies from the middle of the disc, half widths; (240, 240)."""
    found: NDArray[np.float64] = np.hypot(_LINE[:, None], _LINE[None, :])
    return found


@cache
def on_disc() -> NDArray[np.bool_]:
    """Which cells are skin; (240, 240)."""
    return from_middle() < DISC


def stands_off(grey: Floats) -> Floats:
    """How much lighter (above 0) or darker each cell is than the skin around it, in logarithms.

    grey: (240, 240), luminance 0 to 255. What lies off the disc counts as the skin nearest to it.
    """
    from scipy import ndimage  # not loaded where no picture is read

    light = np.log(FLOOR + ndimage.gaussian_filter(grey, 0.9)).astype(np.float32)
    coarse = light.reshape(SIDE // COARSE, COARSE, SIDE // COARSE, COARSE).mean((1, 3))
    around = _median_around(coarse)
    ground = ndimage.zoom(around, COARSE, order=1, mode="nearest", grid_mode=True)
    found: Floats = light - ground
    return found


def _median_around(coarse: Floats) -> Floats:
    from scipy import ndimage  # not loaded where no picture is read

    wide = round(WINDOW / (2 * REACH) * SIDE / COARSE) | 1
    rows, columns = _nearest_on_disc()
    filled = coarse[rows, columns]
    around = ndimage.median_filter(filled, wide, mode="nearest")
    smooth: Floats = ndimage.gaussian_filter(around, wide / 5, mode="nearest")
    return smooth


@cache
def _nearest_on_disc() -> NDArray[np.int32]:
    """For each coarse cell the row and the column of the nearest one on the disc."""
    from scipy import ndimage

    coarse = on_disc()[COARSE // 2 :: COARSE, COARSE // 2 :: COARSE]
    found: NDArray[np.int32] = ndimage.distance_transform_edt(
        ~coarse, return_distances=False, return_indices=True
    )
    return found
