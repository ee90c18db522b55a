"""Acts on animals: each one door for page, command and import."""

import datetime
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any, BinaryIO

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import transaction

from breeding.animals import bulk, lineage, parentage, revisions
from breeding.animals.bulk import NewAnimal, Parent, Refusal, RefusedError
from breeding.animals.doubts.measured import doubts_of_picture, doubts_of_size, sizes_of
from breeding.animals.doubts.rows import doubts_of_rows
from breeding.animals.doubts.sizes import Size
from breeding.animals.fields import check_past_day
from breeding.animals.impossible import (
    OnRecord,
    Shares,
    after_death,
    before_birth,
    is_after_death,
    is_before_birth,
    problems_of,
    settle_birth_precision,
)
from breeding.animals.models import (
    Animal,
    Measurement,
    Photograph,
    PossibleSire,
    SpeciesShare,
    Strain,
)
from breeding.animals.parentage import Parents
from breeding.animals.pictures.portraits import clean_portrait, thumbnail
from breeding.animals.queries import gestation_longest_days, parts_on_record
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.program.problems.beside import at_field
from breeding.program.problems.doubts import ask
from breeding.program.queries import the_program

THUMBNAIL_PX = 192


@transaction.atomic
def register_animal(
    *,
    by: Person | None,
    parents: Parents = Parents(),  # noqa: B008  (frozen)
    species_shares: Shares | None = None,
    code: str = "",
    **facts: Any,
) -> Animal:
    """Write down one animal with its parents and, for a founder, its species shares.

    `facts` are the plain fields of Animal. Raises ValidationError by field.
    """
    row = NewAnimal(
        key=1,
        code=code,
        facts=facts,
        sire=parents.sire,
        dam=parents.dam,
        possible_sires=parents.possible_sires,
        species_shares=species_shares,
    )
    return register_animals([row], by=by)[row.key]


@transaction.atomic
def add_strains(strains: Iterable[Strain]) -> None:
    """Write down strains that were met for the first time."""
    for strain in strains:
        strain.full_clean()
        strain.save()


@transaction.atomic
def register_animals(
    rows: Iterable[NewAnimal], *, by: Person | None, sure: Collection[str] = frozenset()
) -> dict[int, Animal]:
    """Write down all of these animals, parents before young, and give them back by key.

    All or nothing: raises RefusedError, and nothing is written, when one of them is not possible,
    and DoubtError when one is hardly so and `sure` does not answer it.
    """
    rows = bulk.with_codes(rows)
    if refusals := bulk.check_animals(rows):
        raise RefusedError(refusals)
    if any(row.measurement for row in rows):
        ask((doubt for _, doubt in doubts_of_rows(rows, the_program())), sure)
    by_key = {row.key: row for row in rows}
    written: dict[int, Animal] = {}

    def real(parent: Parent | None) -> Animal | None:
        return written[parent] if isinstance(parent, int) else parent

    for key in bulk.parents_first(rows):
        animal = bulk.unsaved(by_key[key])
        animal.recorded_by = by
        animal.sire, animal.dam = real(by_key[key].sire), real(by_key[key].dam)
        _save_new(animal, key)
        written[key] = animal
    _write_shares(rows, written)
    for row in rows:
        if row.measurement:
            _keep_measurement(written[row.key], by=by, **row.measurement)
    revisions.parentage_changed()
    return written


def _save_new(animal: Animal, key: int) -> None:
    try:
        with constraints.named(animal):
            animal.save(force_insert=True)
    except ValidationError as problem:  # somebody took the code since the check
        found = problem.update_error_dict({})
        raise RefusedError(
            [Refusal((key,), where, error) for where, errors in found.items() for error in errors]
        ) from None


def _write_shares(rows: Sequence[NewAnimal], written: Mapping[int, Animal]) -> None:
    PossibleSire.objects.bulk_create(
        PossibleSire(
            animal=written[row.key],
            sire=written[sire] if isinstance(sire, int) else sire,
            share=share,
        )
        for row in rows
        for sire, share in row.possible_sires
    )
    SpeciesShare.objects.bulk_create(
        SpeciesShare(animal=written[row.key], species=species, share=share)
        for row in rows
        for species, share in (row.species_shares or {}).items()
    )


@transaction.atomic
def change_animal(
    animal: Animal,
    *,
    parents: Parents | None = None,
    species_shares: Shares | None = None,
    **facts: Any,
) -> Animal:
    """Change facts of an animal; what is not given stays. Raises ValidationError by field."""
    for name, value in facts.items():
        setattr(animal, name, value)
    before = parents_of(Animal.objects.get(pk=animal.pk))
    parents = before if parents is None else parents
    for as_sire in (True, False):
        young = Animal.objects.filter(**{"sire" if as_sire else "dam": animal})
        parentage.check_as_parent(animal, young=list(young), as_sire=as_sire)
    possible = Animal.objects.filter(possible_sires__sire=animal)
    parentage.check_as_parent(animal, young=list(possible), as_sire=True)
    _check_and_save(animal, parents, species_shares)
    if parents != before or species_shares is not None or {"born_on", "origin"} & facts.keys():
        _keep_shares(animal, parents, species_shares)
        revisions.parentage_changed()
    return animal


def parents_of(animal: Animal) -> Parents:
    """The parents as recorded."""
    possible = animal.possible_sires.select_related("sire")
    return Parents(animal.sire, animal.dam, tuple((row.sire, row.share) for row in possible))


def _check_and_save(animal: Animal, parents: Parents, shares: Shares | None) -> None:
    settle_birth_precision(animal)
    everyone = [one for _, one in parents.everyone]
    sires, dams = parts_on_record(everyone, besides=animal.pk)
    descendants: frozenset[int] = frozenset()
    if everyone:
        descendants = frozenset(lineage.current().pedigree.descendants(animal.pk))
    on_record = OnRecord(gestation_longest_days, sires, dams, descendants)
    problems: dict[str, list[ValidationError]] = {}
    for where, error in problems_of(animal, parents, shares, on_record):
        problems.setdefault(where, []).append(error)
    if problems:
        raise ValidationError(problems)
    animal.sire, animal.dam = parents.sire, parents.dam
    with constraints.named(animal):
        animal.save()


def _keep_shares(animal: Animal, parents: Parents, species_shares: Shares | None) -> None:
    animal.possible_sires.all().delete()
    PossibleSire.objects.bulk_create(
        PossibleSire(animal=animal, sire=sire, share=share)
        for sire, share in parents.possible_sires
    )
    if parents.everyone:
        animal.species_shares.all().delete()  # from now on they follow from the parents
    elif species_shares is not None:
        animal.species_shares.all().delete()
        SpeciesShare.objects.bulk_create(
            SpeciesShare(animal=animal, species=species, share=share)
            for species, share in species_shares.items()
        )


@transaction.atomic
def change_state(animal: Animal, *, state: str, on: datetime.date) -> Animal:
    """Here, on loan, left or died, since a day."""
    return change_animal(animal, state=state, state_on=on)


def _check_day(field: str, on: datetime.date, today: datetime.date | None = None) -> None:
    """Raise ValidationError, at the field, for a day before such records, or still to come."""
    try:
        check_past_day(on, today or datetime.date.max)
    except ValidationError as problem:
        raise at_field(problem, field) from None


@transaction.atomic
def add_photograph(
    animal: Animal,
    file: BinaryIO,
    *,
    by: Person | None,
    taken_on: datetime.date | None = None,
    caption: str = "",
    is_drawing: bool = False,
    as_portrait: bool = True,
    today: datetime.date | None = None,
    sure: Collection[str] = frozenset(),
) -> Photograph:
    """Keep a picture, re-encoded and without metadata; by default it becomes the portrait.

    Raises ValidationError when the file is not a picture that can be taken, or its day cannot be,
    and DoubtError for a day that is hardly one of this animal's.
    """
    if taken_on is not None:
        _check_day("taken_on", taken_on, today)
    ask(doubts_of_picture(animal, taken_on), sure)
    try:
        clean = clean_portrait(file)
        small = thumbnail(clean.jpeg_bytes, THUMBNAIL_PX)
    except ValueError as problem:
        raise ValidationError({"picture": str(problem)}) from None
    photograph = Photograph(
        animal=animal,
        width_px=clean.width,
        height_px=clean.height,
        taken_on=taken_on,
        caption=caption,
        is_drawing=is_drawing,
        recorded_by=by,
    )
    photograph.picture.save(f"{animal.pk}.jpg", ContentFile(clean.jpeg_bytes), save=False)
    photograph.thumbnail.save(f"{animal.pk}-small.jpg", ContentFile(small), save=False)
    photograph.save()
    if as_portrait:
        animal.portrait = photograph
        animal.save(update_fields=["portrait"])
    return photograph


@transaction.atomic
def add_measurement(
    animal: Animal,
    *,
    by: Person | None,
    on: datetime.date | None,
    disc_width_mm: int | None = None,
    weight_g: int | None = None,
    girth_mm: int | None = None,
    condition: int | None = None,
    note: str = "",
    sure: Collection[str] = frozenset(),
) -> Measurement:
    """Write down size, girth or condition on a day; None: on a day that is not known.

    Raises DoubtError for a size that hardly follows from those on record.
    """
    if on is not None:
        _check_day("on", on)
    if on is not None and is_before_birth(animal, on):
        raise ValidationError({"on": before_birth(animal, on)})
    if on is not None and is_after_death(animal, on):
        raise ValidationError({"on": after_death(animal, on)})
    new = Size(on, disc_width_mm, weight_g)
    ask(doubts_of_size(animal, new, sizes_of(animal), the_program()), sure)
    return _keep_measurement(
        animal,
        by=by,
        on=on,
        disc_width_mm=disc_width_mm,
        weight_g=weight_g,
        girth_mm=girth_mm,
        condition=condition,
        note=note,
    )


def _keep_measurement(animal: Animal, *, by: Person | None, **facts: Any) -> Measurement:
    measurement = Measurement(animal=animal, recorded_by=by, **facts)
    measurement.full_clean(validate_constraints=False)
    measurement.save()
    return measurement
