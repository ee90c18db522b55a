"""Spots and taps between what the database holds and what `breeding.spots` reckons with."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def spots_of(stored: Sequence[Sequence[float]]) -> Floats:
    """Stored triples as float64 (n, 3).

    >>> spots_of([]).shape
    (0, 3)
    """
    return np.array(stored, np.float64).reshape(-1, 3)


def stored_spots(spots: Floats) -> list[list[float]]:
    """As they are stored: four decimals are a hundredth of a percent of half the disc.

    >>> stored_spots(np.array([[0.123456, -0.5, 0.03]]))
    [[0.1235, -0.5, 0.03]]
    """
    return [[round(float(value), 4) for value in spot] for spot in spots]
