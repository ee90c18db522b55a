"""One pattern laid over others: a smooth displacement and which spot is which; pure.

Soft assignment both ways, sharpened step by step (Gold et al. 1998, Pattern Recogn 31:1019-1031),
with a smooth displacement fitted between the steps (coherent point drift: Myronenko & Song 2010,
IEEE Trans Pattern Anal 32:2262-2275); then one partner for each spot at most, by the assignment
that gains most.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from breeding.spots.shortlist import moved
from breeding.spots.warp import basis

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

WIDTHS = np.geomspace(0.12, 0.030, 9)  # half widths, from blurred to sharp
NEAR = 0.030  # how far partners lie apart after the fit, one standard deviation
RADII = 0.35  # how far logarithms of radii of one spot lie apart
RADII_OF_OTHERS = 0.45  # the same of any two spots
AREA = 2.8  # of the disc, square half widths
NO_PARTNER = 0.05  # weight of having none, against a partner at distance 0


@dataclass(frozen=True)
class Fit:
    """One picture on record with the pattern in question laid over it.

    pairs: (k, 2) rows of the spots in question and of those on record that are partners.
    gain: how much likelier the partners lie so if they are the same spots than by chance, log.
    energy: how far the disc had to be bent. freedom: how freely it could be, log.
    """

    pairs: NDArray[np.intp]
    gain: float
    energy: float
    freedom: float
    spots_seen: int
    spots_known: int


def fitted(seen: Floats, spots: Floats, real: NDArray[np.bool_], starts: Floats) -> list[Fit]:
    """The pattern in question laid over each of several pictures.

    seen: (n, 3). spots, real: padded pictures (c, most, 3) and (c, most). starts: (c, 2, 3), the
    move from which each fit begins. Grows with c times n times most: 60 pictures of 60 spots take
    some 0.05 s.
    """
    functions = basis(seen[:, :2])
    sizes = _sizes(seen, spots, real)
    places = np.array([moved(seen, start) for start in starts])
    weights = np.zeros((len(spots), functions.shape[1], 2))
    precision = np.zeros((len(spots), functions.shape[1], functions.shape[1]))
    for width in WIDTHS:
        share = _partners(places, spots, sizes, width)
        weights, precision = _bent(seen, spots, share, functions, width)
        places = seen[None, :, :2] + functions @ weights
    freedom = np.linalg.slogdet(precision)[1]
    energy = (weights**2).sum((1, 2)) / 2
    gains = _gains(places, spots, real, seen)
    return [
        _best_pairs(gain[:, :count], float(bend), float(free))
        for gain, count, bend, free in zip(gains, real.sum(1), energy, freedom, strict=True)
    ]


def _sizes(seen: Floats, spots: Floats, real: NDArray[np.bool_]) -> Singles:
    """How badly the radii of two spots agree: (c, n, most), infinite for what is no spot.

    A picture may show all spots a little larger or smaller; the median of each is set equal.
    """
    ours = np.log(seen[:, 2]) - np.median(np.log(seen[:, 2]))
    theirs = np.log(np.where(real, spots[..., 2], np.nan))
    theirs = theirs - np.nanmedian(theirs, axis=1, keepdims=True)
    apart = (ours[None, :, None] - theirs[:, None, :]) ** 2 / (2 * RADII**2)
    found: Singles = np.where(np.isnan(apart), np.inf, apart).astype(np.float32)
    return found


def _apart(places: Floats, spots: Floats) -> Singles:
    """Squared distances (c, n, most)."""
    right = (places[:, :, None, 0] - spots[:, None, :, 0]).astype(np.float32)
    down = (places[:, :, None, 1] - spots[:, None, :, 1]).astype(np.float32)
    found: Singles = right * right + down * down
    return found


def _partners(places: Floats, spots: Floats, sizes: Singles, width: float) -> Singles:
    """The share, 0 to 1, in which two spots are partners, each for the other's part."""
    near = np.exp(-_apart(places, spots) / np.float32(2 * width**2) - sizes)
    for_ours = near.sum(2, keepdims=True) + NO_PARTNER
    for_theirs = near.sum(1, keepdims=True) + NO_PARTNER
    share: Singles = near / for_ours * (near / for_theirs)
    return share


def _bent(
    seen: Floats, spots: Floats, share: Singles, functions: Floats, width: float
) -> tuple[Floats, Floats]:
    """Weights (c, rank, 2) of the likeliest displacement, and its precision (c, rank, rank)."""
    has = share.sum(2).astype(np.float64)
    towards = np.matmul(share, spots[..., :2].astype(np.float32)).astype(np.float64)
    missing = (towards - has[..., None] * seen[None, :, :2]) / width**2
    weighed = functions.T[None] * (has / width**2)[:, None, :]
    precision = weighed @ functions + np.eye(functions.shape[1])
    return np.linalg.solve(precision, functions.T @ missing), precision


def _gains(places: Floats, spots: Floats, real: NDArray[np.bool_], seen: Floats) -> Floats:
    """What each possible pair gains, in logarithms, over spots strewn evenly: (c, n, most)."""
    density = np.sqrt(len(seen) * np.maximum(real.sum(1), 1)) / AREA
    chance = np.log(2 * np.pi * NEAR**2 * density)[:, None, None]
    sizes = _sizes(seen, spots, real)
    alike = np.log(RADII_OF_OTHERS / RADII) - sizes * (1 - (RADII / RADII_OF_OTHERS) ** 2)
    found: Floats = alike - _apart(places, spots) / (2 * NEAR**2) - chance
    return found


def _best_pairs(gain: Floats, energy: float, freedom: float) -> Fit:
    """One partner for each spot at most, so that the sum of gains is largest."""
    pairs = assigned(gain)
    total = float(gain[pairs[:, 0], pairs[:, 1]].sum())
    return Fit(pairs, total, energy, freedom, *gain.shape)


def assigned(gain: Floats) -> NDArray[np.intp]:
    """The pairs (k, 2) of rows and columns with the largest sum of gains; none that loses.

    >>> assigned(np.array([[3.0, 2.0], [2.5, -1.0]])).tolist()
    [[0, 1], [1, 0]]
    """
    from scipy.optimize import linear_sum_assignment  # not loaded where no picture is read

    rows, columns = linear_sum_assignment(np.maximum(gain, 0), maximize=True)
    wins = gain[rows, columns] > 0
    return np.column_stack([rows[wins], columns[wins]])
