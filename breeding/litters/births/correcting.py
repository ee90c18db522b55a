"""A birth corrected: its day, its dam, its sires; the pups and all that hangs on it follow."""

import datetime
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.away.here import check_was_here
from breeding.animals.models import Animal
from breeding.animals.parents.parentage import Parents
from breeding.animals.services import change_animal, parents_of
from breeding.litters.births.beginnings import move_beginnings
from breeding.litters.births.facts import DAYS_BETWEEN_BIRTHS
from breeding.litters.births.family import (
    family_of,
    kind_of_birth,
    pups_on_record,
    refuse_withdrawn,
    same_sires,
)
from breeding.litters.doubts import check_age
from breeding.litters.models import Litter, Pup
from breeding.pairings.models import Outcome
from breeding.words.days import long_day
from breeding.words.language import tell, tell_many

# Of a pup's field, the one of the birth that it is about.
ABOUT_THE_BIRTH = {"state_on": "born_on", "born_on": "born_on"}


@transaction.atomic
def correct_birth(
    litter: Litter,
    *,
    dam: Animal,
    born_on: datetime.date,
    today: datetime.date,
    parents: Parents | None = None,
    keep_theirs: Collection[int] = (),
    premature: bool | None = None,
    note: str | None = None,
) -> Litter:
    """Write what is right of a birth onto everything that was written with it; its code stays.

    parents: the sires of all its pups; None: they stay as they are. keep_theirs: keys of pups
    whose sires are known better, as by a test; they follow the day and the dam only. premature,
    note: None leaves them. Raises ValidationError by field, and nothing is changed.
    """
    refuse_withdrawn(litter)
    check_birth(dam, born_on, today=today)
    check_not_recorded(dam, born_on, besides=litter)
    pups = pups_on_record(litter)
    sires = family_of(litter, pups) if parents is None else parents
    for pup in pups:
        _correct_its_day(pup, born_on)
        if pup.animal is None:
            continue
        day = pup.born_on or born_on
        move_beginnings(pup, day, dam)
        theirs = _parents_from_now_on(pup, litter, dam, sires, keep_theirs, is_said=bool(parents))
        correct_young(pup.animal, pup, day, theirs)
    _correct_outcome(litter, dam, born_on, pups, premature)
    litter.dam, litter.born_on = dam, born_on
    litter.note = litter.note if note is None else note.strip()
    litter.full_clean(validate_constraints=False)
    litter.save()
    return litter


def _correct_its_day(pup: Pup, born_on: datetime.date) -> None:
    """One that was born later than the first keeps its own day; on that day it is with them."""
    if pup.born_on is None:
        return
    if pup.born_on < born_on or (pup.born_on - born_on).days >= DAYS_BETWEEN_BIRTHS:
        raise ValidationError(
            {
                "born_on": tell(
                    "{pup} was born on {day}; put that day right first, or choose one up "
                    "to {number} days before it.",
                    pup=pup,
                    day=long_day(pup.born_on),
                    number=DAYS_BETWEEN_BIRTHS - 1,
                )
            }
        )
    if pup.born_on == born_on:
        pup.born_on = None
        pup.save(update_fields=["born_on"])


def check_birth(dam: Animal, born_on: datetime.date, *, today: datetime.date) -> None:
    """Raise ValidationError, by field, when this female cannot have given birth on that day."""
    if dam.sex != Animal.Sex.FEMALE:
        raise ValidationError({"dam": tell("{dam} is not recorded as a female.", dam=dam.name)})
    if born_on > today:
        raise ValidationError(
            {"born_on": tell("{day} is still to come; today or before.", day=long_day(born_on))}
        )
    check_was_here(dam, born_on, "born_on")
    check_age(dam, born_on)


def check_not_recorded(
    dam: Animal, born_on: datetime.date, *, besides: Litter | None = None
) -> None:
    """Raise ValidationError when she has another birth on record that is too near."""
    others = Litter.objects.filter(dam=dam, withdrawn_at__isnull=True)
    refuse_too_near(dam, born_on, others.exclude(pk=besides.pk) if besides else others)


def refuse_too_near(dam: Animal, born_on: datetime.date, others: Iterable[Litter]) -> None:
    """Raise ValidationError when one of these births of hers is too near to another one."""
    for other in others:
        apart = abs((other.born_on - born_on).days)
        if apart < DAYS_BETWEEN_BIRTHS:
            raise ValidationError(
                {
                    "born_on": tell_many(
                        "{dam} has {litter} of {day} on record; a second birth {number} day apart "
                        "is not possible. Add the pup there.",
                        "{dam} has {litter} of {day} on record; a second birth {number} days apart "
                        "is not possible. Add the pup there.",
                        apart,
                        dam=dam.name,
                        litter=other,
                        day=long_day(other.born_on),
                    )
                }
            )


def _parents_from_now_on(
    pup: Pup,
    litter: Litter,
    dam: Animal,
    sires: Parents,
    keep_theirs: Collection[int],
    *,
    is_said: bool,
) -> Parents:
    assert pup.animal is not None  # noqa: S101  (for the type checker)
    theirs = parents_of(pup.animal)
    if pup.pk in keep_theirs:
        was_hers = theirs.dam is None or theirs.dam.pk == litter.dam_id
        return replace(theirs, dam=dam) if was_hers else theirs
    return Parents(sires.sire, dam, sires.possible_sires) if is_said else replace(theirs, dam=dam)


def correct_young(animal: Animal, pup: Pup, born_on: datetime.date, parents: Parents) -> None:
    """The animal that a pup is, with another day of birth or other parents, when they differ."""
    if is_as_born(animal, born_on, parents):
        return
    try:
        change_animal(animal, parents=parents, **facts_of_day(animal, pup, born_on))
    except ValidationError as problem:
        raise ValidationError(_by_field(problem)) from None


def facts_of_day(animal: Animal, pup: Pup, born_on: datetime.date) -> dict[str, Any]:
    """What becomes of the animal that a pup is with another day of birth."""
    if _is_of_day(animal, born_on):
        return {}
    facts: dict[str, Any] = {"born_on": born_on, "born_precision": Animal.Precision.DAY}
    if animal.is_here and animal.state_on in (animal.born_on, pup.day):
        facts["state_on"] = born_on
    return facts


def is_as_born(animal: Animal, born_on: datetime.date, parents: Parents) -> bool:
    """Whether it has this day of birth and these parents on record."""
    was = parents_of(animal)
    same = was.dam == parents.dam and same_sires(was, parents)
    return same and _is_of_day(animal, born_on)


def _is_of_day(animal: Animal, born_on: datetime.date) -> bool:
    return (animal.born_on, animal.born_precision) == (born_on, Animal.Precision.DAY)


def _by_field(problem: ValidationError) -> dict[str, list[ValidationError]]:
    """What a pup's own page would say at its field, at the field of the birth."""
    found: dict[str, list[ValidationError]] = {}
    for field, errors in problem.update_error_dict({}).items():
        found.setdefault(ABOUT_THE_BIRTH.get(field, field), []).extend(errors)
    return found


def _correct_outcome(
    litter: Litter,
    dam: Animal,
    born_on: datetime.date,
    pups: Sequence[Pup],
    premature: bool | None,
) -> None:
    """How her season ended moves to her and that day, and so does what was ticked after it."""
    outcome = litter.outcome
    early = outcome.kind == Outcome.Kind.PREMATURE if premature is None else premature
    for tick in outcome.nursery_ticks.filter(withdrawn_at__isnull=True):
        if tick.on < born_on:
            raise ValidationError(
                {
                    "born_on": tell(
                        "“{item}” was ticked after this birth on {day}, before {born}; "
                        "withdraw that first.",
                        item=tick.get_item_display(),
                        day=long_day(tick.on),
                        born=long_day(born_on),
                    )
                }
            )
        if tick.female_id != dam.pk:
            tick.female = dam
            tick.save()
    outcome.female, outcome.on = dam, born_on
    outcome.kind = kind_of_birth([pup.alive for pup in pups], premature=early)
    outcome.full_clean()
    outcome.save()
