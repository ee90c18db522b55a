"""An animal that was written down by mistake, or twice, goes with all that is only its own."""

import datetime
from collections.abc import Iterable, Sequence

from django.core.exceptions import ValidationError
from django.db import models, transaction

from breeding.animals import revisions
from breeding.animals.growth.measured import every_measurement
from breeding.animals.models import Animal, Measurement, Photograph, PossibleSire
from breeding.animals.queries import with_code
from breeding.animals.services import check_animal, check_its_young, parents_of
from breeding.program import services
from breeding.program.acts.resting import parts_of, resting_on_wholes, rests_words
from breeding.program.models import Person, Withdrawable
from breeding.words.language import message, tell
from breeding.words.stored import as_stored, stored

LONGEST_REASON = 200
WITH = stored(message("with {animal}: {reason}"))


def resting_on_animal(animal: Animal) -> list[models.Model]:
    """What of others names this animal or one of its parts, so that it cannot be withdrawn."""
    return resting_on_animals([animal])


def resting_on_animals(animals: Sequence[Animal]) -> list[models.Model]:
    """The same of many."""
    return resting_on_wholes(animals)


@transaction.atomic
def withdraw_animal(
    animal: Animal, *, by: Person | None, now: datetime.datetime, reason: str
) -> list[Withdrawable]:
    """Take an animal out of all reckoning, with what is only its own; these parts are returned.

    Raises ValidationError, and nothing is withdrawn, while anything of others rests on it.
    """
    revisions.hold()
    if animal.is_withdrawn:
        raise ValidationError(tell("{animal} has been withdrawn already.", animal=animal.name))
    if found := resting_on_animal(animal):
        raise ValidationError(
            tell(
                "{animal} cannot be withdrawn, because {records}. Put that right first.",
                animal=animal.name,
                records=rests_words(found),
            )
        )
    parts = [one for one in _can_go(parts_of(animal)) if not one.is_withdrawn]
    services.withdraw(animal, by=by, now=now, reason=reason)
    for part in parts:
        services.withdraw(part, by=by, now=now, reason=_with(animal))
    revisions.parentage_changed()
    return parts


@transaction.atomic
def bring_back_animal(animal: Animal) -> list[Withdrawable]:
    """Let it count again, with the parts that went with it; these are returned.

    Raises ValidationError when its code is given to another, or it is not possible any more.
    """
    revisions.hold()
    if (other := with_code([animal.code]).get(animal.code)) is not None:
        raise ValidationError(
            tell(
                "The code {code} was given to {other} meanwhile; no two animals share one. "
                "Withdraw {other} first if it is the same animal.",
                code=animal.code,
                other=other.name,
            )
        )
    check_animal(animal, parents_of(animal))
    check_its_young(animal)
    parts = parts_that_went(animal)
    services.bring_back(animal)
    for part in parts:
        services.bring_back(part)
    revisions.parentage_changed()
    return parts


def withdrawn_parts(animal: Animal) -> list[Measurement | Photograph]:
    """Its measurements and pictures that count no more, the latest first."""
    found: list[Measurement | Photograph] = []
    found += [one for one in every_measurement(animal) if one.is_withdrawn]
    rows = Photograph.every.filter(animal=animal, withdrawn_at__isnull=False)
    found += list(rows.select_related("withdrawn_by"))
    for one in found:
        one.animal = animal
    return sorted(found, key=lambda one: one.withdrawn_at or one.recorded_at, reverse=True)


def further_parts(animal: Animal) -> list[models.Model]:
    """Its parts besides measurements, pictures and parents, which are shown in full."""
    shown = (Measurement, Photograph, PossibleSire)
    return [one for one in parts_of(animal) if not isinstance(one, shown)]


def parts_that_went(animal: Animal) -> list[Withdrawable]:
    """The parts that were withdrawn together with an animal that is withdrawn."""
    return [one for one in _can_go(parts_of(animal)) if _went_along(one, animal)]


def _can_go(parts: Iterable[models.Model]) -> list[Withdrawable]:
    return [one for one in parts if isinstance(one, Withdrawable)]


def _with(animal: Animal) -> str:
    return as_stored(WITH, LONGEST_REASON, animal=animal.code, reason=animal.withdrawn_reason)


def _went_along(part: Withdrawable, animal: Animal) -> bool:
    """Withdrawn in the same act; what was withdrawn by itself before stays so."""
    marks = (part.withdrawn_at, part.withdrawn_by_id, part.withdrawn_reason)
    return marks == (animal.withdrawn_at, animal.withdrawn_by_id, _with(animal))
