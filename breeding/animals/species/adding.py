"""A species written down on screen, with figures to begin with, and put right later."""

import json
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.text import slugify

from breeding.animals import revisions
from breeding.animals.models import Profile, ProfileFigure, Species
from breeding.animals.species.doubts import Relatives, far_from_relatives
from breeding.animals.species.figures import Typed, problems_with
from breeding.animals.species.rules import TAKEN_OVER
from breeding.program.acts.named import refuse_name_of, refuse_taken_name
from breeding.program.acts.together import write_parts, write_together
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import (
    Judged,
    clean_of_its_own,
    judging_in_turn,
    settled,
)
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

    @cached_property
    def values(self) -> Mapping[str, float]:
        return {one.name: one.value for one in self.figures}

    @cached_property
    def taken_over(self) -> Mapping[str, Typed]:
        """The figures as they stand for another species: each an assumption, with its origin."""
        return {one.name: Typed(one.value, "A", self._source(one)) for one in self.figures}

    @cached_property
    def rows(self) -> Mapping[str, ProfileFigure]:
        """Those, as rows of any profile that takes them over."""
        return _rows(self.taken_over)

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


@dataclass(frozen=True)
class New:
    """A species to be written down: what it begins with, and the figures that are typed."""

    species: Species
    start: Start
    typed: Mapping[str, Typed]

    @cached_property
    def figures(self) -> Mapping[str, Typed]:
        """The figures typed, and the others taken over."""
        return {**self.start.taken_over, **self.typed}

    @cached_property
    def values(self) -> Mapping[str, float]:
        return {name: one.value for name, one in self.figures.items()}

    @cached_property
    def rows(self) -> Mapping[str, ProfileFigure]:
        return {**self.start.rows, **_rows(self.typed)}


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
    new = New(Species(recorded_by=by, **_checked(facts)), start, typed)
    [judged] = _judged([new], length_unit)
    settled(judged, sure)
    with constraints.named(new.species):
        _write([new])
    return new.species


@transaction.atomic
def add_all_species(rows: Sequence[New], *, length_unit: str) -> list[Judged[Species]]:
    """Write down all that may be."""
    for row in rows:
        for name, value in _checked({one: getattr(row.species, one) for one in FACTS}).items():
            setattr(row.species, name, value)
    judged = _judged(rows, length_unit)
    with constraints.named():
        _write([row for row, one in zip(rows, judged, strict=True) if one.may_be])
    return judged


def _judged(rows: Sequence[New], length_unit: str) -> list[Judged[Species]]:
    """Each beside those on record and the rows before it."""
    relatives, free = Relatives(), _FreeKeys()
    sound, clean = set[tuple[Any, ...]](), set[int]()  # what is taken over is the same of many
    named = {one.accepted_name.casefold(): one for one in Species.objects.all()}
    of_species = {id(row.species): row for row in rows}

    def judge(species: Species) -> Iterator[Doubt]:
        new = of_species[id(species)]
        species.key = free.key_for(species.accepted_name)
        species.full_clean(
            exclude=["key", "profile", "recorded_by"],
            validate_unique=False,
            validate_constraints=False,
        )
        refuse_name_of(named.get(species.accepted_name.casefold()), "accepted_name")
        if (figures := (id(new.start), *new.typed.items())) not in sound:
            if problems := problems_with(new.figures, length_unit):
                raise ValidationError(problems)
            sound.add(figures)
        begun = (new.start.label, new.start.values)
        known = relatives.of(species)
        yield from far_from_relatives(species, new.values, length_unit, begun, known=known)
        species.profile = Profile(key=species.key, label=species.short_name)
        species.profile.full_clean(validate_unique=False, validate_constraints=False)
        for figure in new.rows.values():
            if id(figure) not in clean:
                figure.profile = species.profile
                clean_of_its_own(figure)
                clean.add(id(figure))

    def count(species: Species) -> None:
        free.take(species.key)
        named[species.accepted_name.casefold()] = species
        relatives.add(species, of_species[id(species)].values)

    return judging_in_turn([row.species for row in rows], judge, count)


def _write(rows: Sequence[New]) -> None:
    """Profiles, species and figures of rows that may be."""
    if not rows:
        return
    write_together([row.species.profile for row in rows])
    write_together([row.species for row in rows])
    write_parts([(row.species.profile, [*row.rows.values()]) for row in rows], of="profile")
    revisions.figures_changed()


def _rows(figures: Mapping[str, Typed]) -> dict[str, ProfileFigure]:
    """Of no profile yet."""
    return {
        name: ProfileFigure(
            name=name,
            value=one.value,
            certainty=one.certainty,
            source=one.source.strip() or "assumption",
        )
        for name, one in figures.items()
    }


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


class _FreeKeys:
    """Keys that neither a species nor a profile has, withdrawn ones included."""

    def __init__(self) -> None:
        self._taken = {*Species.every.values_list("key", flat=True)}
        self._taken |= {*Profile.objects.values_list("key", flat=True)}

    def key_for(self, accepted_name: str) -> str:
        stem = slugify(accepted_name)[:40] or "species"
        numbered = (f"{stem}-{number}" for number in range(2, len(self._taken) + 3))
        return next(key for key in (stem, *numbered) if key not in self._taken)

    def take(self, key: str) -> None:
        self._taken.add(key)
