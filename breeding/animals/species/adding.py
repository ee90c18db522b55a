"""A species written down on screen, with figures to begin with, and put right later."""

import json
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.text import slugify

from breeding.animals import revisions
from breeding.animals.models import Profile, ProfileFigure, Species
from breeding.animals.species.doubts import far_from_relatives
from breeding.animals.species.figures import Typed, problems_with
from breeding.animals.species.rules import TAKEN_OVER
from breeding.program.acts.named import refuse_taken_name
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.program.problems.doubts import ask
from breeding.program.reference.fixture_files import fixture_path
from breeding.words.language import tell

WORDS = ("kind_one", "kind_many", "size_called", "has_spine")
FACTS = ("accepted_name", "trade_name", *WORDS, "law_note", "one_x", "one_x_source")
NOTES = ("law_note", "one_x_source")
MOST_SOURCE = 300
BLANK = ""  # instead of the key of a species


@dataclass(frozen=True)
class Start:
    """What a new species begins with: figures and words, of a species on record or of nobody."""

    label: str
    figures: tuple[ProfileFigure, ...]
    words: Mapping[str, Any]
    is_blank: bool = False

    @property
    def label_said(self) -> str:
        """Whom it begins with, for whoever reads it."""
        return tell(self.label)

    def taken_over(self) -> dict[str, Typed]:
        """The figures as they stand for another species: each an assumption, with its origin."""
        return {one.name: Typed(one.value, "A", self._source(one)) for one in self.figures}

    def _source(self, figure: ProfileFigure) -> str:
        if self.is_blank:
            return figure.source
        return f"{TAKEN_OVER}{self.label}: {figure.source}"[:MOST_SOURCE]


def start_from(species: Species) -> Start:
    """The figures and words of a species on record."""
    words = {name: getattr(species, name) for name in WORDS}
    return Start(species.short_name, tuple(species.profile.figures.all()), words)


def blank_start() -> Start:
    """Those of a live-bearing fish of which nothing is known, from fixtures/species.json."""
    content = _species_file()
    blank = content["blank"]
    rows = content["for_every_profile"] | blank["figures"]
    figures = tuple(ProfileFigure(name=name, **row) for name, row in rows.items())
    words = {name: blank[name] for name in WORDS}
    return Start(blank["label"], figures, words, is_blank=True)


@cache
def _species_file() -> Mapping[str, Any]:
    content: dict[str, Any] = json.loads(fixture_path("species.json").read_text("utf-8"))
    return content


@transaction.atomic
def add_species(
    *,
    by: Person | None,
    start: Start,
    typed: Mapping[str, Typed],
    length_unit: str,
    sure: Collection[str] = frozenset(),
    **facts: Any,
) -> Species:
    """Write down a species with a profile of its own: the figures typed, the others taken over.

    Raises ValidationError by field or by the figure's name, and DoubtError, which `sure` answers,
    for a figure far from those of its relatives.
    """
    species = Species(recorded_by=by, **_checked(facts))
    species.key = _free_key(species.accepted_name)
    given = start.taken_over() | {name: typed[name] for name in typed}
    species.full_clean(exclude=["profile"], validate_constraints=False)
    refuse_taken_name(species, "accepted_name")
    if problems := problems_with(given, length_unit):
        raise ValidationError(problems)
    values = {name: one.value for name, one in given.items()}
    begun = {one.name: one.value for one in start.figures}
    ask(far_from_relatives(species, values, length_unit, (start.label, begun)), sure)
    profile = Profile(key=species.key, label=species.short_name)
    profile.full_clean()
    profile.save()
    species.profile = profile
    with constraints.named(species):
        species.save()
    for name, one in given.items():
        source = one.source.strip() or "assumption"
        figure = ProfileFigure(profile=profile, name=name, value=one.value, source=source)
        figure.certainty = one.certainty
        figure.full_clean(validate_constraints=False)
        figure.save()
    revisions.figures_changed()
    return species


@transaction.atomic
def change_species(species: Species, **facts: Any) -> Species:
    """Change names and words of a species; the name of figures of its own follows."""
    called_before = species.short_name
    for name, value in _checked(facts).items():
        setattr(species, name, value)
    species.full_clean(validate_constraints=False)
    refuse_taken_name(species, "accepted_name")
    with constraints.named(species):
        species.save()
    profile = species.profile
    if profile.label == called_before and not _shared(profile, species):
        profile.label = species.short_name
        profile.save()
    revisions.figures_changed()
    return species


def _checked(facts: Mapping[str, Any]) -> dict[str, Any]:
    for name in facts.keys() - set(FACTS):
        raise ValueError(f"A species has no {name!r}: only {', '.join(FACTS)}.")
    return {
        name: " ".join(value.split()) if isinstance(value, str) and name not in NOTES else value
        for name, value in facts.items()
    }


def _shared(profile: Profile, species: Species) -> bool:
    return Species.every.filter(profile=profile).exclude(pk=species.pk).exists()


def _free_key(accepted_name: str) -> str:
    """A key that neither a species nor a profile has, withdrawn ones included."""
    stem = slugify(accepted_name)[:40] or "species"
    taken = {*Species.every.values_list("key", flat=True)}
    taken |= {*Profile.objects.values_list("key", flat=True)}
    numbered = (f"{stem}-{number}" for number in range(2, len(taken) + 3))
    return next(key for key in (stem, *numbered) if key not in taken)
