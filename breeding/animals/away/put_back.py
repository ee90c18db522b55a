"""What follows when acts on animals are undone: the lineage is read anew, and must be possible."""

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Prefetch, prefetch_related_objects
from django.dispatch import receiver

from breeding.animals import lineage, revisions
from breeding.animals.mending.withdrawing import resting_on_animal, resting_on_animals
from breeding.animals.models import (
    Animal,
    AssumedKin,
    Photograph,
    PossibleSire,
    Profile,
    ProfileFigure,
    Species,
    SpeciesShare,
)
from breeding.animals.parents.assuming import check_held
from breeding.animals.pictures.keeping import settle_portrait
from breeding.animals.services import check_animal, check_as_parent_of, parents_of, young_of
from breeding.program.acts.resting import counts, resting_words
from breeding.program.acts.undoing import put_back
from breeding.program.acts.written import Row
from breeding.program.models import Withdrawable
from breeding.program.parts import in_parts
from breeding.program.problems.several import read_of
from breeding.words.language import message, tell
from breeding.words.numbers import joined
from pedigree import LineageLoop

PARENT_IS_OUT = {
    "sire": message(
        "It cannot be undone, because {parent}, the sire of {animal}, is withdrawn; bring it back "
        "first."
    ),
    "dam": message(
        "It cannot be undone, because {parent}, the dam of {animal}, is withdrawn; bring it back "
        "first."
    ),
    "possible sire": message(
        "It cannot be undone, because {parent}, the possible sire of {animal}, is withdrawn; bring "
        "it back first."
    ),
}


# What of an animal the lineage is read from (`lineage.py`).
OF_LINEAGE = {"sire", "dam", "born_on", "born_precision", "origin", "withdrawn_at"}


@receiver(put_back, dispatch_uid="animals")
def read_anew(rows: Iterable[models.Model], written: Iterable[Row], **_: Any) -> None:
    """Raises ValidationError when the animals cannot be as they were before."""
    rows = list(rows)
    if any(isinstance(row, Profile | ProfileFigure | Species) for row in rows):
        revisions.figures_changed()
    keys = {row.pk for row in rows if isinstance(row, Animal)}
    keys |= {row.animal_id for row in rows if isinstance(row, PossibleSire | SpeciesShare)}
    held = any(isinstance(row, AssumedKin) for row in rows)
    if keys or held:
        if any(map(_is_of_lineage, written)):
            revisions.parentage_changed()
        try:
            _refuse_impossible(list(read_of(Animal.every.all(), "pk", keys)))
            if held:
                check_held()
        except ValidationError:
            revisions.taken_back()
            raise
    _refuse_parts_of_what_is_out(rows)
    for row in rows:
        if isinstance(row, Photograph):
            for animal in Animal.every.filter(portrait=row):
                settle_portrait(animal)


def _is_of_lineage(row: Row) -> bool:
    if row.model is Animal:
        return row.was_made or row.was_deleted or not OF_LINEAGE.isdisjoint(row.before)
    return row.model in (AssumedKin, PossibleSire, SpeciesShare)


def _refuse_impossible(animals: list[Animal]) -> None:
    out = [animal for animal in animals if animal.is_withdrawn]
    for animal in out if resting_on_animals(out) else ():
        if found := resting_on_animal(animal):
            raise ValidationError(
                tell(
                    "It cannot be undone, because {records} rests on {animal}.",
                    records=resting_words(found),
                    animal=animal.name,
                )
            )
    counting = [animal for animal in animals if not animal.is_withdrawn]
    sires = Prefetch("possible_sires", PossibleSire.objects.select_related("sire"))
    for part in in_parts(counting):
        prefetch_related_objects(part, "sire", "dam", sires)
    young = young_of(animal.pk for animal in counting)
    for animal in counting:
        _refuse_parents_that_are_out(animal)
    _refuse_loop()
    for animal in counting:
        try:
            check_animal(animal, parents_of(animal))
            check_as_parent_of(animal, young)
        except ValidationError as problem:
            raise ValidationError(
                tell("It cannot be undone: {why}", why=" ".join(problem.messages))
            ) from None


def _refuse_parents_that_are_out(animal: Animal) -> None:
    for word, parent in parents_of(animal).everyone:
        if parent.is_withdrawn:
            raise ValidationError(
                tell(PARENT_IS_OUT[word], parent=parent.full_name, animal=animal.name)
            )


def _refuse_loop() -> None:
    try:
        lineage.current()
    except LineageLoop as found:
        named = Animal.every.in_bulk(set(found.loop))
        chain = joined([named[key].name for key in found.loop[:-1]])
        first = named[found.loop[0]].name
        raise ValidationError(
            tell(
                "It cannot be undone: {first} would be among its own ancestors ({chain}).",
                first=first,
                chain=chain,
            )
        ) from None


def _refuse_parts_of_what_is_out(rows: Iterable[models.Model]) -> None:
    """Parts count only with their whole, read anew: it may be among the rows itself."""
    wholes: dict[Any, list[Any]] = defaultdict(list)
    for row in rows:
        if isinstance(row, Withdrawable) and row.part_of and not row.is_withdrawn:
            field = row._meta.get_field(row.part_of)
            wholes[field.related_model].append(row.serializable_value(row.part_of))
    for model, keys in wholes.items():
        for whole in read_of(model._base_manager.all(), "pk", keys):
            if not counts(whole):
                raise ValidationError(
                    tell(
                        "It cannot be undone, because {record} is withdrawn; bring that back "
                        "first.",
                        record=whole,
                    )
                )
