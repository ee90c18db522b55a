"""Questions about animals that gather several rows for a page; they write nothing."""

import math

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.animals.profiles import all_profiles

LONGEST_IN_SDS = 3


def gestation_longest_days(dam: Animal | None) -> int:
    """The longest gestation to allow for: the profile's mean and three standard deviations."""
    profiles = all_profiles()
    figures = profiles.unknown
    if dam is not None and dam.pk is not None:
        figures = profiles.of(lineage.current().shares.get(dam.pk, {}))
    mean = figures.get("gestation_mean_days", 115.0)
    return math.ceil(mean + LONGEST_IN_SDS * figures.get("gestation_sd_days", 20.0))
