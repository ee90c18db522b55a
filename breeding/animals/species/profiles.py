"""Which set of figures on reproduction holds for an animal; the figures are data."""

import math
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from breeding.animals import revisions
from breeding.animals.models import Profile, Species

LONGEST_IN_SDS = SHORTEST_IN_SDS = 3


@dataclass(frozen=True)
class Figures:
    """The figures of one profile by name, with its label."""

    label: str
    values: Mapping[str, float]
    key: str = ""

    def get(self, name: str, default: float) -> float:
        return self.values.get(name, default)

    @property
    def gestation_longest_days(self) -> int:
        """The longest gestation to allow for: the mean and three standard deviations."""
        mean = self.get("gestation_mean_days", 115.0)
        return math.ceil(mean + LONGEST_IN_SDS * self.get("gestation_sd_days", 20.0))

    @property
    def gestation_shortest_days(self) -> int:
        """The shortest gestation to allow for: the mean less three standard deviations."""
        mean = self.get("gestation_mean_days", 115.0)
        shortest = mean - SHORTEST_IN_SDS * self.get("gestation_sd_days", 20.0)
        return max(math.floor(shortest), 1)


@dataclass(frozen=True)
class Profiles:
    """Every profile, read at once, so that a page with many animals asks only twice."""

    by_species: Mapping[int, Figures]
    names: Mapping[int, str]
    hybrids: Figures
    unknown: Figures
    every: tuple[Figures, ...] = ()

    def of(self, shares: Mapping[int | None, Fraction]) -> Figures:
        """The profile for an animal with these species shares.

        A pure animal: its species'. More than one known species: the hybrids'. Part known and
        the rest unknown: the known species' when that is more than half, else the rest's.
        """
        known = {label: share for label, share in shares.items() if label is not None and share}
        if len(known) > 1:
            return self.hybrids
        for label, share in known.items():
            if share > Fraction(1, 2):
                return self.by_species.get(label, self.unknown)
        return self.unknown


NO_FIGURES = Figures("no figures on record", {})


_profiles: "OrderedDict[str, Profiles]" = OrderedDict()


def all_profiles() -> Profiles:
    """Every profile; no query while the figures stay as they are."""
    return revisions.kept(_profiles, revisions.current().figures, _read)


def _read() -> Profiles:
    figures: dict[int, Figures] = {}
    hybrids = unknown = NO_FIGURES
    for profile in Profile.objects.prefetch_related("figures"):
        card = Figures(
            profile.label,
            {figure.name: figure.value for figure in profile.figures.all()},
            profile.key,
        )
        figures[profile.pk] = card
        if profile.for_hybrids:
            hybrids = card
        if profile.for_unknown:
            unknown = card
    species_rows = list(Species.every.all())
    return Profiles(
        by_species={species.pk: figures[species.profile_id] for species in species_rows},
        names={species.pk: species.short_name for species in species_rows},
        hybrids=hybrids,
        unknown=unknown,
        every=tuple(figures.values()),
    )
