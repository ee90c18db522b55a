"""How much a fit says: likelihood ratios that it is the same animal, and chances from them; pure.

The coefficients were fitted as `benchmarks/rays/evidence.py` does, to some 700 pictures of
invented rays (the chances given to what was true, as a proper score: Good 1952, J R Stat Soc B
14:107-114), not to photographs.

A fit can fail though it is the same animal: a tap amiss, a fin folded, spots come since. So the
ratio of a picture is a mixture: with the chance that a fit tells anything, what the fit says; else
1, which says nothing. Hence "nobody on record" is never sure, and least so of a poor picture or an
old album.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from breeding.spots.fit import Fit

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Coefficients:
    """Of the logarithm of the likelihood ratio of a fit."""

    constant: float = -0.07
    gain: float = 0.87
    energy: float = -1.79
    freedom: float = -0.86
    pair: float = 0.39
    unpaired_known: float = -0.53
    unpaired_seen: float = -0.64
    few: float = -7.0  # divided by the spots seen: where all have few, chance finds more likenesses
    most: float = 14.0  # the ratio levels off here: the world holds more than was invented


FITTED = Coefficients()
# Chance that a fit tells nothing, by choice: more than in what the rest was fitted to (under 0.01),
# as kinds of trouble that nothing was fitted to left one picture in ten without its animal.
SILENT = 0.05
SILENT_DIM = 0.5  # the same of a dim picture: half of those left their animal unknown
SILENT_FEW = 0.4  # added, divided by the number of spots seen
NOBODY = 0.2  # chance, before the picture is looked at, that the animal is not on record
FEWEST = 4  # spots: fewer tell nothing
HALVING_MONTHS = 240.0  # after which an old picture tells half as often; a species may have its own


def log_ratios(measures: Floats, by: Coefficients = FITTED) -> Floats:
    """Logarithms of the likelihood ratio for fits, as `measures_of` gives them: (k,)."""
    gain, pairs, known, seen, energy, freedom = measures.T
    sums = (
        by.constant
        + by.gain * gain
        + by.energy * energy
        + by.freedom * freedom
        + by.pair * pairs
        + by.unpaired_known * (known - pairs)
        + by.unpaired_seen * (seen - pairs)
        + by.few / np.maximum(seen, 1)
    )
    found: Floats = by.most * np.tanh(sums / by.most)
    return found


def measures_of(fits: list[Fit]) -> Floats:
    """(k, 6): gain, partners, spots on record, spots seen, energy and freedom of each fit."""
    return np.array(
        [(f.gain, len(f.pairs), f.spots_known, f.spots_seen, f.energy, f.freedom) for f in fits],
        np.float64,
    ).reshape(-1, 6)


def telling(
    seen: int, months: Floats, halving_months: float = HALVING_MONTHS, *, dim: bool = False
) -> Floats:
    """The chance that the fit of a picture so old, with so many spots seen, tells: (k,)."""
    silent = min((SILENT_DIM if dim else SILENT) + SILENT_FEW / max(seen, 1), 1.0)
    found: Floats = (1 - silent) * 2 ** (-np.maximum(months, 0) / halving_months)
    return found


def chances(ratios: Floats, nobody: float = NOBODY) -> Floats:
    """Chances of the animals on record and, last, of nobody: (k + 1,), sum 1.

    ratios: (k,) likelihood ratios against an animal that is not on record. Before the picture each
    animal on record is as likely as any other, together 1 - nobody.

    >>> chances(np.array([1.0, 1.0])).round(3).tolist()
    [0.4, 0.4, 0.2]
    """
    weighed = np.append((1 - nobody) / max(len(ratios), 1) * ratios, nobody)
    found: Floats = weighed / weighed.sum()
    return found
