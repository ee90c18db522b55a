"""From a few sightings to a due window: numbers and days, no Django.

The function `estimate` stands before the file of that name here; what else the file holds is
imported from `breeding.gestation.estimate` as ever.
"""

from breeding.gestation.estimate import Estimate, Points, Scan, Sign, estimate
from breeding.gestation.profile import Profile

__all__ = ["Estimate", "Points", "Profile", "Scan", "Sign", "estimate"]
