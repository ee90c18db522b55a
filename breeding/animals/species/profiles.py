"""Which set of figures on reproduction holds for an animal; the figures are data."""

import json
import math
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache, cached_property
from typing import Any, NamedTuple

from django.db.models import Subquery

from breeding.animals import revisions
from breeding.animals.models import Profile, Revision, Species
from breeding.program.reference.fixture_files import fixture_path

LONGEST_IN_SDS = SHORTEST_IN_SDS = 3


@dataclass(frozen=True)
class Figures:
    """The figures of one profile by name, with its label."""

    label: str
    values: Mapping[str, float]
    key: str = ""
    sources: Mapping[str, str] = field(default_factory=dict, repr=False)

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

    @cached_property
    def earliest_birth_days(self) -> float:
        """The age at which a female of any of them can first give birth; infinite for none."""
        ages = (
            one.values["mature_female_days"] + one.gestation_shortest_days
            for one in self.every
            if "mature_female_days" in one.values
        )
        return min(ages, default=math.inf)

    def of(self, shares: Mapping[int | None, Fraction]) -> Figures:
        """The profile for an animal with these species shares.

        A pure animal: its species'. More than one known species: the hybrids'. Part known and
        the rest unknown: the known species' when that is more than half, else the rest's.
        """
        if len(shares) == 1:  # as most are
            ((only, share),) = shares.items()
            if share == 1:
                return self.unknown if only is None else self.by_species.get(only, self.unknown)
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
    return revisions.kept(_species, token, lambda: _rows().species)


class _Rows(NamedTuple):
    """All that is on record of profiles and species, and the tokens of that moment."""

    tokens: Revision | None
    species: Mapping[int, Species]
    cards: Mapping[int, Figures]
    hybrids: Figures = NO_FIGURES
    unknown: Figures = NO_FIGURES

    def profiles(self) -> Profiles:
        species = self.species
        return Profiles(
            by_species={key: self.cards[one.profile_id] for key, one in species.items()},
            names={key: one.short_name for key, one in species.items()},
            hybrids=self.hybrids,
            unknown=self.unknown,
            every=tuple(self.cards.values()),
        )


def _read(token: str) -> Profiles:
    rows = _rows()
    if token and token not in _species:
        revisions.kept(_species, token, lambda: rows.species)
    return rows.profiles()


def _read_first() -> Revision | None:
    """The tokens with every figure and species, in a process that has none of them yet."""
    if _profiles or _species:
        return None
    rows = _rows()
    if rows.tokens is None:
        return None
    revisions.kept(_species, rows.tokens.figures, lambda: rows.species)
    revisions.kept(_profiles, rows.tokens.figures, rows.profiles)
    return rows.tokens


revisions.read_first(_read_first)

_OF_PROFILE = ("pk", "label", "key", "for_hybrids", "for_unknown")
_OF_FIGURE = ("figures__name", "figures__value", "figures__source")


def _rows() -> _Rows:
    """One query: a row for each figure of a profile and each species that it is of."""
    of_species = [field.attname for field in Species._meta.concrete_fields]
    tokens = Revision.objects.filter(pk=1)
    rows = Profile.objects.order_by("label", "pk", "species__accepted_name", "figures__pk")
    sources: dict[int, dict[str, str]] = {}
    values: dict[int, dict[str, float]] = {}
    cards: dict[int, Figures] = {}
    species: dict[int, Species] = {}
    revision, hybrids, unknown = None, NO_FIGURES, NO_FIGURES
    for pk, label, key, for_hybrids, for_unknown, *rest in rows.values_list(
        *_OF_PROFILE,
        *_OF_FIGURE,
        Subquery(tokens.values("lineage")),
        Subquery(tokens.values("figures")),
        *(f"species__{name}" for name in of_species),
    ):
        name, value, source, lineage, figures, *its_species = rest
        if lineage is not None:
            revision = Revision(pk=1, lineage=lineage, figures=figures)
        its_own, from_where = values.setdefault(pk, {}), sources.setdefault(pk, {})
        if name is not None:
            its_own[name], from_where[name] = value, source
        card = cards.setdefault(pk, Figures(label, its_own, key, from_where))
        hybrids, unknown = card if for_hybrids else hybrids, card if for_unknown else unknown
        if its_species[0] is not None and its_species[0] not in species:
            made = Species.from_db("default", of_species, its_species)
            species[made.pk] = made
    in_order = sorted(species.values(), key=lambda one: one.accepted_name)
    return _Rows(revision, {one.pk: one for one in in_order}, cards, hybrids, unknown)
