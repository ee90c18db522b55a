"""A picture on record is put right: of whom it is, its day and words, and whether it stands."""

import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.models import Animal, Photograph
from breeding.program.acts.resting import resting_on, resting_words
from breeding.words.language import tell


@transaction.atomic
def change_photograph(
    photograph: Photograph,
    *,
    animal: Animal,
    taken_on: datetime.date | None,
    caption: str,
    is_drawing: bool,
    as_portrait: bool,
) -> Photograph:
    """Put a picture right. Raises ValidationError by field."""
    before = photograph.animal
    if animal != before and (seen := resting_on([photograph])):
        raise ValidationError(
            {
                "animal": tell(
                    "It was taken with {records}; withdraw that, and log it with the picture for "
                    "{animal}.",
                    records=resting_words(seen),
                    animal=animal.name,
                )
            }
        )
    photograph.animal, photograph.taken_on = animal, taken_on
    photograph.caption, photograph.is_drawing = caption, is_drawing
    photograph.full_clean(validate_constraints=False)
    photograph.save()
    for one in {before, animal}:
        settle_portrait(one, besides=None if as_portrait else photograph)
    if as_portrait:
        choose_portrait(animal, photograph)
    return photograph


def choose_portrait(animal: Animal, photograph: Photograph | None) -> None:
    """This picture stands for the animal from now on; None: none does."""
    kept = Animal.every.select_for_update().get(pk=animal.pk)
    if kept.portrait_id != (photograph.pk if photograph else None):
        kept.portrait = photograph
        kept.save(update_fields=["portrait"])
    animal.portrait = photograph


def settle_portrait(animal: Animal, *, besides: Photograph | None = None) -> None:
    """The portrait is a picture of this animal that counts: else its latest other one, or none."""
    kept = Animal.every.get(pk=animal.pk).portrait
    stands = kept is not None and kept.animal_id == animal.pk and not kept.is_withdrawn
    if kept is not None and (not stands or kept == besides):
        others = Photograph.objects.filter(animal=animal)
        others = others.exclude(pk=besides.pk) if besides is not None else others
        choose_portrait(animal, others.first())
