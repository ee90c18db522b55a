"""Acts on animals: each one door for page, command and import."""

import datetime
from collections.abc import Iterable
from typing import Any, BinaryIO

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import IntegrityError, transaction

from breeding.animals import lineage, parentage, revisions
from breeding.animals.impossible import (
    Shares,
    before_birth,
    is_before_birth,
    settle_birth_precision,
    species_problems,
)
from breeding.animals.models import (
    Animal,
    Measurement,
    Photograph,
    PossibleSire,
    SpeciesShare,
)
from breeding.animals.parentage import Parents, Young
from breeding.animals.pictures.portraits import clean_portrait, thumbnail
from breeding.animals.queries import gestation_longest_days
from breeding.program.models import Person
from breeding.program.queries import the_program

THUMBNAIL_PX = 192


def next_code(prefix: str, taken: Iterable[str]) -> str:
    """The program's next code: its prefix and the number after the highest one in use."""
    numbers = [
        int(code[len(prefix) :])
        for code in taken
        if code.startswith(prefix) and code[len(prefix) :].isdigit() and len(code) < 18
    ]
    return f"{prefix}{max(numbers, default=0) + 1:03d}"


def free_code() -> str:
    prefix = the_program().code_prefix
    codes = Animal.objects.filter(code__startswith=prefix).values_list("code", flat=True)
    return next_code(prefix, codes)


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
    animal = Animal(code=code or free_code(), recorded_by=by, **facts)
    _check_and_save(animal, parents)
    _keep_shares(animal, parents, species_shares)
    revisions.parentage_changed()
    return animal


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
    _check_and_save(animal, parents)
    if parents != before or species_shares is not None or {"born_on", "origin"} & facts.keys():
        _keep_shares(animal, parents, species_shares)
        revisions.parentage_changed()
    return animal


def parents_of(animal: Animal) -> Parents:
    """The parents as recorded."""
    possible = animal.possible_sires.select_related("sire")
    return Parents(animal.sire, animal.dam, tuple((row.sire, row.share) for row in possible))


def _check_and_save(animal: Animal, parents: Parents) -> None:
    settle_birth_precision(animal)
    if animal.state_on is not None and is_before_birth(animal, animal.state_on):
        raise ValidationError({"state_on": before_birth(animal, animal.state_on)})
    descendants: frozenset[int] = frozenset()
    if animal.pk is not None and parents.everyone:
        descendants = frozenset(lineage.current().pedigree.descendants(animal.pk))
    sires, dams = _parts_on_record(parents, animal)
    has_died = any(one.state == Animal.State.DIED for _, one in parents.everyone)
    parentage.check(
        Young(
            name=animal.name,
            born_on=animal.born_on,
            born_precision=animal.born_precision,
            pk=animal.pk,
            # Only the death of a parent asks how long a gestation can be.
            gestation_longest_days=gestation_longest_days(parents.dam) if has_died else 0,
            descendants=descendants,
            known_sires=sires,
            known_dams=dams,
        ),
        parents,
    )
    animal.sire, animal.dam = parents.sire, parents.dam
    # Constraints are the database's last word; parentage has said them in words already.
    animal.full_clean(validate_constraints=False)
    try:
        with transaction.atomic():
            animal.save()
    except IntegrityError:  # two people took the same code at the same moment
        raise ValidationError({"code": f"The code {animal.code} is taken."}) from None


def _parts_on_record(parents: Parents, animal: Animal) -> tuple[frozenset[int], frozenset[int]]:
    """Which of these parents are on record as a sire, and which as a dam, of other animals."""
    keys = [one.pk for _, one in parents.everyone if one.sex == Animal.Sex.UNKNOWN]
    if not keys:
        return frozenset(), frozenset()  # a recorded sex has settled it, and is checked
    others = Animal.objects.exclude(pk=animal.pk)
    sires = set(others.filter(sire__in=keys).values_list("sire_id", flat=True))
    sires |= set(PossibleSire.objects.filter(sire__in=keys).values_list("sire_id", flat=True))
    dams = set(others.filter(dam__in=keys).values_list("dam_id", flat=True))
    return frozenset(sires), frozenset(dams)


def _keep_shares(animal: Animal, parents: Parents, species_shares: Shares | None) -> None:
    animal.possible_sires.all().delete()
    PossibleSire.objects.bulk_create(
        PossibleSire(animal=animal, sire=sire, share=share)
        for sire, share in parents.possible_sires
    )
    problems = species_problems(animal.name, species_shares, has_parents=bool(parents.everyone))
    if sentences := list(problems):
        raise ValidationError({"species_shares": sentences})
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
) -> Photograph:
    """Keep a picture, re-encoded and without metadata; by default it becomes the portrait.

    Raises ValidationError when the file is not a picture that can be taken.
    """
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
def choose_portrait(animal: Animal, photograph: Photograph) -> None:
    if photograph.animal_id != animal.pk:
        raise ValidationError(f"That picture shows {photograph.animal.name}, not {animal.name}.")
    animal.portrait = photograph
    animal.save(update_fields=["portrait"])


@transaction.atomic
def add_measurement(
    animal: Animal,
    *,
    by: Person | None,
    on: datetime.date,
    disc_width_mm: int | None = None,
    weight_g: int | None = None,
    girth_mm: int | None = None,
    condition: int | None = None,
    note: str = "",
) -> Measurement:
    """Write down size, girth or condition on a day."""
    if is_before_birth(animal, on):
        raise ValidationError({"on": before_birth(animal, on)})
    measurement = Measurement(
        animal=animal,
        on=on,
        disc_width_mm=disc_width_mm,
        weight_g=weight_g,
        girth_mm=girth_mm,
        condition=condition,
        note=note,
        recorded_by=by,
    )
    measurement.full_clean(validate_constraints=False)
    measurement.save()
    return measurement
