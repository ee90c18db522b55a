"""How far one animal of a later cross may lie from its expected species shares, in a sentence."""

import math
from collections.abc import Mapping

from breeding.animals.lineage import Lineage
from breeding.animals.spread import CHROMOSOME_PAIRS, independent_segments, spread_of_share
from pedigree import heterogeneity

TWO_DEVIATIONS = 2  # about 95 of 100 animals


def spread_sentence(found: Lineage, animal: int, species: Mapping[int, str]) -> str:
    """Empty for a pure animal and a first cross, whose shares do not differ between litter mates.

    "of 100 animals bred like this about 95 have between 34 % and 66 % P. motoro; ...". Cost: the
    tabular method over the animal's ancestors.
    """
    shares = found.shares[animal]
    known = {label: share for label, share in shares.items() if label is not None and share}
    if len(known) + bool(shares.get(None)) < 2:
        return ""
    if shares.get(None):
        return (
            "pups of one litter differ in their shares; by how much cannot be told while a part "
            "of the ancestry is unknown"
        )
    label = max(known, key=lambda one: (known[one], species[one]))
    of_two = heterogeneity(found.pedigree, found.base, label)[animal]
    deviation = spread_of_share(known[label], of_two, independent_segments())
    if math.isclose(deviation, 0.0, abs_tol=1e-9):
        return ""
    low = max(0.0, float(known[label]) - TWO_DEVIATIONS * deviation)
    high = min(1.0, float(known[label]) + TWO_DEVIATIONS * deviation)
    return (
        f"pups of one litter differ: of 100 animals bred like this about 95 have between "
        f"{low * 100:.0f} % and {high * 100:.0f} % {species[label]} (reckoned with "
        f"{CHROMOSOME_PAIRS} pairs of chromosomes of one Morgan each, an assumption: nobody has "
        "published a map for rays)"
    )
