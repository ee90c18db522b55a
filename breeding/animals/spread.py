"""How far single animals of one cross lie from their expected share of a species."""

import math
from fractions import Fraction

from pedigree import realised_spread

# Potamotrygon has 64 to 66 chromosomes, two or three of them sex chromosomes: Valentim, Porto &
# Feldberg 2019, Genet. Mol. Biol. 42, doi 10.1590/1678-4685-GMB-2018-0229.
CHROMOSOME_PAIRS = 32
MORGANS_EACH = 1.0  # assumption, one crossing-over on each: nobody has published a map for rays


def independent_segments(pairs: int = CHROMOSOME_PAIRS, morgans: float = MORGANS_EACH) -> float:
    """How many genes passed on independently would vary as whole chromosomes do in one meiosis.

    At one place in a first backcross the share of the other species has the variance 1/16.

    >>> round(independent_segments())
    56
    """
    return float(1 / (16 * realised_spread("backcross", [morgans] * pairs) ** 2))


def spread_of_share(share: Fraction | float, heterogeneity: float, segments: float) -> float:
    """Standard deviation of the part of an animal's genes that is of one species: 0 to 1/2.

    `share` is the expected part p, `heterogeneity` the expected part H of places with one gene of
    that species and one of another, both 0 to 1. At one place the animal carries 0, 1/2 or 1, with
    the mean p and the variance p (1 - p) - H/4; over independent segments that is divided by their
    number. With the segments of one meiosis it is right for an F2 and a first backcross, and an
    upper limit for later crosses, whose segments are shorter. Own derivation; an F2 and a first
    backcross agree with `pedigree.realised_spread`.

    >>> spread_of_share(Fraction(1, 2), 1.0, 50), spread_of_share(Fraction(1, 2), 0.5, 50)
    (0.0, 0.05)
    """
    return math.sqrt(max(0.0, float(share * (1 - share)) - heterogeneity / 4) / segments)
