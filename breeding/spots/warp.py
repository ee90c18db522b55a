"""Smooth displacements of the disc, as taps, tilt and moving water make them; pure.

A displacement is a Gaussian process: a shift, a slope and a bend of the whole disc, and ripples
that neighbours share. It is kept as a sum of few functions, each scaled so that its weight is as
likely as a standard normal; half the sum of squares of the weights is then the bending energy, as
in coherent point drift (Myronenko & Song 2010, IEEE Trans Pattern Anal 32:2262-2275), whose low
rank this follows.
"""

from functools import cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# Half widths by which each kind displaces, one standard deviation.
SHIFT = 0.03
SLOPE = 0.07  # at the rim
BEND = 0.06
RIPPLE = 0.04
RIPPLE_LENGTH = 0.5  # half widths over which a ripple is the same
RANK = 20  # functions in each direction
ON_A_LINE = 11  # places, each way, by which the functions are made


def _kernel(places: Floats, others: Floats) -> Floats:
    """How much two places are displaced together: (n, m)."""
    product = places @ others.T
    apart = (places**2).sum(1)[:, None] + (others**2).sum(1)[None, :] - 2 * product
    ripple = RIPPLE**2 * np.exp(-apart / (2 * RIPPLE_LENGTH**2))
    found: Floats = SHIFT**2 + SLOPE**2 * product + BEND**2 * product**2 + ripple
    return found


@cache
def places_of_functions() -> Floats:
    """The places (m, 2) on the disc by which the functions are made."""
    line = np.linspace(-1, 1, ON_A_LINE)
    square = np.stack(np.meshgrid(line, line), -1).reshape(-1, 2)
    inside: Floats = square[np.hypot(*square.T) <= 1.05]
    return inside


@cache
def weights_of_columns() -> Floats:
    """Weights of the kernel's columns (m, RANK) that make each function (Nystrom's extension)."""
    places = places_of_functions()
    values, vectors = np.linalg.eigh(_kernel(places, places))
    largest = np.argsort(-values)[:RANK]
    found: Floats = vectors[:, largest] / np.sqrt(values[largest])
    return found


def basis(places: Floats) -> Floats:
    """The functions at places (n, 2): (n, RANK). A displacement is `basis(places) @ weights`."""
    found: Floats = _kernel(places, places_of_functions()) @ weights_of_columns()
    return found
