"""Which set of figures on reproduction holds for an animal; the figures are data."""

import json
import math
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Any

from breeding.animals import revisions
from breeding.animals.models import Profile, Revision, Species
from breeding.program.fixture_files import fixture_path

LONGEST_IN_SDS = SHORTEST_IN_SDS = 3


@dataclass(frozen=True)
class Figures:
    """The figures of one profile by name, with its label."""

    label: str
    values: Mapping[str, float]
    key: str = ""

    def get(self, name: str, default: float) -> float:
        return self.values.get(name, default)

    def figure(self, name: str) -> float:
        """One that every profile has in the file; that of the file where this one lost it.

        >>> Figures("none", {}).figure("breed_female_days")
        730.0
        """
        return self.values.get(name, usual_figure(name))

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


def usual_figure(name: str) -> float:
    """A figure of `fixtures/species.json` that holds for every profile. Raises KeyError."""
    return float(_for_every_profile()[name]["value"])


@cache
def _for_every_profile() -> Mapping[str, Mapping[str, Any]]:
    content = json.loads(fixture_path("species.json").read_text("utf-8"))
    found: Mapping[str, Mapping[str, Any]] = content["for_every_profile"]
    return found


NO_FIGURES = Figures("no figures on record", {})


_profiles: "OrderedDict[str, Profiles]" = OrderedDict()
_species: "OrderedDict[str, Mapping[int, Species]]" = OrderedDict()


def all_profiles(now: Revision | None = None) -> Profiles:
    """Every profile; no query while the figures stay as they are. `now`: where it is known."""
    token = (now or revisions.current()).figures
    return revisions.kept(_profiles, token, lambda: _read(token))


def every_species(token: str) -> Mapping[int, Species]:
    """Every species by its key, to be read and not to be changed; kept under this token."""
    return revisions.kept(
        _species, token, lambda: {species.pk: species for species in Species.every.all()}
    )


def _read(token: str) -> Profiles:
    values: dict[int, dict[str, float]] = {}
    figures: dict[int, Figures] = {}
    hybrids = unknown = NO_FIGURES
    rows = Profile.objects.values_list(
        "pk", "label", "key", "for_hybrids", "for_unknown", "figures__name", "figures__value"
    )
    for pk, label, key, for_hybrids, for_unknown, name, value in rows:
        its_own = values.setdefault(pk, {})
        if name is not None:
            its_own[name] = value
        card = figures.setdefault(pk, Figures(label, its_own, key))
        hybrids, unknown = card if for_hybrids else hybrids, card if for_unknown else unknown
    species_rows = every_species(token)
    return Profiles(
        by_species={key: figures[species.profile_id] for key, species in species_rows.items()},
        names={key: species.short_name for key, species in species_rows.items()},
        hybrids=hybrids,
        unknown=unknown,
        every=tuple(figures.values()),
    )
