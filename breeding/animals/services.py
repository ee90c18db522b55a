"""Acts on animals: each one door for page, command and import."""

import datetime
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any, BinaryIO

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import IntegrityError, transaction

from breeding.animals import bulk, lineage, revisions
from breeding.animals.away.following import (
    asked_before_going,
    asked_before_return,
    end_with,
    take_back_death,
)
from breeding.animals.away.loans import keep_loan
from breeding.animals.bulk import NewAnimal, Parent, Refusal, RefusedError
from breeding.animals.doubts.measured import doubts_of_picture
from breeding.animals.doubts.names import doubts_of_call_name
from breeding.animals.doubts.rows import doubts_of_rows
from breeding.animals.models import (
    Animal,
    Measurement,
    Photograph,
    PossibleSire,
    SpeciesShare,
    Strain,
)
from breeding.animals.parents import parentage
from breeding.animals.parents.impossible import (
    OnRecord,
    Shares,
    problems_of,
    settle_birth_precision,
)
from breeding.animals.parents.parentage import Parents
from breeding.animals.pictures.portraits import ReadPicture, read_picture
from breeding.animals.queries import gestation_longest_days, parts_on_record
from breeding.animals.typed.fields import check_past_day
from breeding.animals.weighing.acts import add_measurement as add_measurement
from breeding.animals.weighing.acts import change_measurement as change_measurement
from breeding.animals.weighing.acts import keep_measurements
from breeding.program.acts.together import write_together
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.program.problems.beside import at_field
from breeding.program.problems.doubts import ask
from breeding.program.problems.several import read_of
from breeding.program.queries import the_program
from breeding.words.language import sentences, tell

PARENT_FACTS = ("sire", "dam", "possible_sires")


@transaction.atomic
def register_animal(
    *,
    by: Person | None,
    parents: Parents = Parents(),  # noqa: B008  (frozen)
    species_shares: Shares | None = None,
    code: str = "",
    sure: Collection[str] = frozenset(),
    **facts: Any,
) -> Animal:
    """Write down one animal with its parents and, for a founder, its species shares.

    `facts` are the plain fields of Animal. Raises ValidationError by field, and DoubtError, which
    `sure` answers, when another animal is called so.
    """
    ask(doubts_of_call_name(facts.get("call_name", "")), sure)
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
    rows = checked_animals(rows)
    if any(row.measurement for row in rows):
        ask((doubt for _, doubt in doubts_of_rows(rows, the_program())), sure)
    return write_animals(rows, by=by)


def checked_animals(rows: Iterable[NewAnimal]) -> list[NewAnimal]:
    """These with codes, and with their parents as they stand. Raises RefusedError."""
    revisions.hold()
    rows = bulk.with_codes(bulk.with_parents_as_they_stand(rows))
    if refusals := bulk.check_animals(rows):
        raise RefusedError(refusals)
    return rows


@transaction.atomic
def write_animals(rows: Sequence[NewAnimal], *, by: Person | None) -> dict[int, Animal]:
    """Write down these, which were checked in the same transaction, and give them back by key."""
    by_key = {row.key: row for row in rows}
    written: dict[int, Animal] = {}

    def real(parent: Parent | None) -> Animal | None:
        return written[parent] if isinstance(parent, int) else parent

    for keys in bulk.parents_first(rows):
        for key in keys:
            animal = written[key] = bulk.unsaved(by_key[key])
            animal.recorded_by = by
            animal.sire, animal.dam = real(by_key[key].sire), real(by_key[key].dam)
        _save_new({key: written[key] for key in keys})
    _write_shares(rows, written)
    keep_measurements(
        Measurement(animal=written[row.key], recorded_by=by, **row.measurement)
        for row in rows
        if row.measurement
    )
    revisions.parentage_changed()
    return written


def _save_new(animals: Mapping[int, Animal]) -> None:
    """All at once; one by one where somebody took a code since the check, to say whose."""
    try:
        with transaction.atomic():
            write_together(list(animals.values()))
    except IntegrityError:
        for key, animal in animals.items():
            animal.pk = None
            _save_one(animal, key)


def _save_one(animal: Animal, key: int) -> None:
    try:
        with constraints.named(animal):
            animal.save(force_insert=True)
    except ValidationError as problem:
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
    """Change facts of an animal; what is not given stays as it is on record, whoever wrote it.

    Parents come all together, or one by one: `sire`, `dam`, `possible_sires`. Raises
    ValidationError by field.
    """
    revisions.hold()
    kept = Animal.every.select_for_update().get(pk=animal.pk)
    check_counts(kept)
    before, was = parents_of(kept), (kept.state, kept.state_on)
    given = {one: facts.pop(one) for one in PARENT_FACTS if one in facts}
    parents = replace(before if parents is None else parents, **given).as_they_stand()
    set_facts(kept, facts)
    check_its_young(kept)
    check_animal(kept, parents, species_shares)
    kept.sire, kept.dam = parents.sire, parents.dam
    with constraints.named(kept):
        kept.save()
    if (kept.state, kept.state_on) != was:
        keep_loan(kept, *was)
    if parents != before or species_shares is not None or {"born_on", "origin"} & facts.keys():
        _keep_shares(kept, parents, species_shares)
        revisions.parentage_changed()
    for column in kept._meta.concrete_fields:
        setattr(animal, column.attname, getattr(kept, column.attname))
    return animal


def set_facts(animal: Animal, facts: Mapping[str, Any]) -> None:
    """What an animal is from now on, not written yet."""
    for name, value in facts.items():
        setattr(animal, name, value)
    settle_birth_precision(animal)


def check_counts(animal: Animal) -> None:
    """Raise ValidationError for one of which nothing is changed."""
    if animal.is_withdrawn:
        raise ValidationError(
            tell("{animal} is withdrawn; bring it back before it is changed.", animal=animal.name)
        )


def parents_of(animal: Animal) -> Parents:
    """The parents as recorded."""
    possible = animal.possible_sires.all()
    if "possible_sires" not in getattr(animal, "_prefetched_objects_cache", {}):
        possible = possible.select_related("sire")
    return Parents(animal.sire, animal.dam, tuple((row.sire, row.share) for row in possible))


def check_animal(animal: Animal, parents: Parents, shares: Shares | None = None) -> None:
    """Raise ValidationError, by field, when an animal on record cannot be as it is now given."""
    everyone = [one for _, one in parents.everyone]
    sires, dams = parts_on_record(everyone, besides=animal.pk)
    descendants = lineage.descendants(animal.pk) if everyone else frozenset()
    on_record = OnRecord(gestation_longest_days, sires, dams, descendants)
    check_animal_beside(animal, parents, shares, on_record)


def check_animal_beside(
    animal: Animal, parents: Parents, shares: Shares | None, on_record: OnRecord
) -> None:
    """The same, what is on record beside it being read already."""
    for _, one in parents.everyone:
        if one.is_withdrawn:
            raise ValidationError(
                tell(
                    "{parent}, a parent of {animal}, is withdrawn; bring it back first.",
                    parent=one.full_name,
                    animal=animal.name,
                )
            )
    problems: dict[str, list[ValidationError]] = {}
    for where, error in problems_of(animal, parents, shares, on_record):
        problems.setdefault(where, []).append(error)
    if problems:
        raise ValidationError(problems)


def check_its_young(animal: Animal) -> None:
    """Raise ValidationError when the young on record cannot be those of an animal like this."""
    check_as_parent_of(animal, young_of([animal.pk]))


def young_of(keys: Iterable[int]) -> dict[str, dict[int, list[Animal]]]:
    """Their young on record by the part they are named for, and by the parent: three queries."""
    every = list(keys)
    found: dict[str, dict[int, list[Animal]]] = {"sire": {}, "dam": {}, "possible sire": {}}
    for part in ("sire", "dam"):
        for young in read_of(Animal.objects.all(), part, every):
            found[part].setdefault(getattr(young, f"{part}_id"), []).append(young)
    possible = PossibleSire.objects.filter(animal__withdrawn_at__isnull=True)
    for row in read_of(possible.select_related("animal").order_by("animal__code"), "sire", every):
        found["possible sire"].setdefault(row.sire_id, []).append(row.animal)
    return found


def check_as_parent_of(animal: Animal, young: Mapping[str, Mapping[int, Sequence[Animal]]]) -> None:
    """The same, its young being read already (`young_of`)."""
    for part, of_each in young.items():
        its_own = of_each.get(animal.pk, ())
        parentage.check_as_parent(animal, young=its_own, as_sire=part != "dam")


def _keep_shares(animal: Animal, parents: Parents, species_shares: Shares | None) -> None:
    """Row by row, so that the history knows each and can put it back."""
    sires = {sire.pk: share for sire, share in parents.possible_sires}
    _keep_rows(PossibleSire, animal, "sire_id", sires)
    if parents.everyone:
        _keep_rows(SpeciesShare, animal, "species_id", {})  # from now on they follow from these
    elif species_shares is not None:
        species = {one.pk: share for one, share in species_shares.items()}
        _keep_rows(SpeciesShare, animal, "species_id", species)


def _keep_rows(
    model: type[PossibleSire] | type[SpeciesShare],
    animal: Animal,
    of: str,
    shares: Mapping[int, Fraction],
) -> None:
    left = dict(shares)
    for row in model._base_manager.filter(animal=animal):
        if left.get(getattr(row, of)) == row.share:
            del left[getattr(row, of)]
        else:
            row.delete()
    for key, share in left.items():
        model(animal=animal, share=share, **{of: key}).save(force_insert=True)


@transaction.atomic
def change_state(
    animal: Animal,
    *,
    state: str,
    on: datetime.date,
    sure: Collection[str] = frozenset(),
    reason: str = "",
    is_asked: bool = True,
    by: Person | None = None,
    now: datetime.datetime | None = None,
) -> Animal:
    """Here, on loan, left or died, since a day; what rests on its being here ends with it.

    Raises DoubtError, which `sure` answers, for whom one meets that is here again, and for what
    holds one that is to go; unless whoever calls has asked before (`is_asked`). Where it had died
    on record that is taken back, by whom and when (`by`, `now`): ValueError without the moment.
    """
    before = Animal.every.get(pk=animal.pk)
    was_here = before.is_here
    if state == Animal.State.HERE and not was_here:
        ask(asked_before_return(animal, on), sure, reason)
    if state in (Animal.State.ON_LOAN, Animal.State.LEFT) and was_here and is_asked:
        ask(asked_before_going(animal, on), sure, reason)
    changed = change_animal(animal, state=state, state_on=on)
    if before.state == Animal.State.DIED and state != Animal.State.DIED:
        if now is None:
            raise ValueError("Whoever takes back a death says when.")
        changed.follows = take_back_death(changed, by, now)
    if not changed.is_here:
        ended = end_with([(changed, on)]).get(changed.pk, "")
        changed.follows = sentences(changed.follows, ended)
    return changed


def _check_day(field: str, on: datetime.date, today: datetime.date | None = None) -> None:
    """Raise ValidationError, at the field, for a day before such records, or still to come."""
    try:
        check_past_day(on, today or datetime.date.max)
    except ValidationError as problem:
        raise at_field(problem, field) from None


@transaction.atomic
def add_photograph(
    animal: Animal,
    file: BinaryIO | ReadPicture,
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

    A page hands over one that has been read before: reading takes seconds, and meanwhile nobody
    else could write.
    Raises ValidationError when the file is not a picture that can be taken, or its day cannot be,
    and DoubtError for a day that is hardly one of this animal's.
    """
    if taken_on is not None:
        _check_day("taken_on", taken_on, today)
    ask(doubts_of_picture(animal, taken_on), sure)
    try:
        read = file if isinstance(file, ReadPicture) else read_picture(file)
    except ValueError as problem:
        raise ValidationError({"picture": str(problem)}) from None
    clean = read.clean
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
    photograph.thumbnail.save(f"{animal.pk}-small.jpg", ContentFile(read.thumbnail), save=False)
    photograph.save()
    if as_portrait:
        animal.portrait = photograph
        animal.save(update_fields=["portrait"])
    return photograph
