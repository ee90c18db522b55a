"""Animals that are on record already and are pups of a birth: joined, not made a second time."""

import datetime
from collections.abc import Iterable
from dataclasses import replace

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q, QuerySet

from breeding.animals.models import Animal
from breeding.animals.parents.parentage import Parents
from breeding.animals.services import parents_of
from breeding.litters.births.correcting import correct_young
from breeding.litters.births.facts import MOST_PUPS
from breeding.litters.births.family import (
    family_of,
    next_number,
    refuse_withdrawn,
    same_sires,
    settle_kind,
)
from breeding.litters.models import Litter, Pup
from breeding.program.models import Person
from breeding.words.days import born_words, long_day
from breeding.words.language import tell
from breeding.words.numbers import joined

DAYS_APART = 2  # young of one birth can be written down on different days; assumption
DAYS_APART_OFFERED = 10  # how far the day on record may be off to be offered for a birth


def without_litter() -> "QuerySet[Animal]":
    """Animals that are no pup of a litter that counts."""
    pups = Pup.objects.filter(animal__isnull=False).values("animal")
    return Animal.objects.exclude(pk__in=pups)


def may_be_young_of(dam: Animal, born_on: datetime.date) -> "QuerySet[Animal]":
    """Who on record may be a pup of this birth: hers or of no dam, and born about that day."""
    apart = datetime.timedelta(days=DAYS_APART_OFFERED)
    near = Q(born_on__range=(born_on - apart, born_on + apart), born_precision="day")
    month = Q(born_on=born_on.replace(day=1), born_precision="month", dam=dam)
    of_her = Q(dam=dam) | Q(dam__isnull=True)
    found = without_litter().filter(of_her & (near | month)).exclude(pk=dam.pk)
    return found.select_related("sire", "dam").order_by("code")


def surely_young_of(dam: Animal, born_on: datetime.date) -> "QuerySet[Animal]":
    """Those of them that nobody would want to make a second time: hers, of that day or the next."""
    apart = datetime.timedelta(days=DAYS_APART)
    days = (born_on - apart, born_on + apart)
    return may_be_young_of(dam, born_on).filter(dam=dam, born_on__range=days)


def differs_words(animal: Animal, dam: Animal, born_on: datetime.date, sires: Parents) -> str:
    """What of an animal on record differs from the birth it is joined to; empty for nothing."""
    found = []
    theirs = parents_of(animal)
    if (animal.born_on, animal.born_precision) != (born_on, Animal.Precision.DAY):
        found.append(tell("born {born}", born=born_words(animal.born_on, animal.born_precision)))
    if theirs.dam != dam:
        found.append(tell("dam {dam}", dam=theirs.dam.name) if theirs.dam else tell("no dam"))
    is_said = sires.sire is not None or bool(sires.possible_sires)
    if is_said and not same_sires(theirs, sires):
        possible = [male.name for male, _ in theirs.possible_sires]
        sire = theirs.sire.name if theirs.sire else (joined(possible) or tell("unknown"))
        found.append(tell("sire {sire}", sire=sire))
    return joined(found)


@transaction.atomic
def join_young(
    litter: Litter,
    young: Iterable[Animal],
    *,
    by: Person | None,
    keep_their_sires: bool = False,
) -> list[Pup]:
    """Say that these animals on record are pups of a litter on record."""
    refuse_withdrawn(litter)
    young = list(young)
    if not young:
        raise ValidationError({"young": tell("Choose who of those on record is of this litter.")})
    number = litter.pups.count() + len(young)
    if number > MOST_PUPS:
        raise ValidationError(
            tell(
                "{number} pups are more than this can take ({most}).", number=number, most=MOST_PUPS
            )
        )
    family = family_of(litter)
    pups = [join(litter, one, family, by=by, keeps_its_sires=keep_their_sires) for one in young]
    settle_kind(litter)
    return pups


def join(
    litter: Litter, animal: Animal, family: Parents, *, by: Person | None, keeps_its_sires: bool
) -> Pup:
    """One of them: it takes day and dam of the birth, and its sires when any are known."""
    other = Pup.objects.filter(animal=animal).select_related("litter").first()
    check_may_join(animal, litter.born_on, other)
    parents = parents_of_joined(animal, family, keeps_its_sires=keeps_its_sires)
    pup = pup_joined(litter, next_number(litter), animal, by)
    try:
        correct_young(animal, pup, litter.born_on, parents)
    except ValidationError as problem:
        raise ValidationError(
            [f"{animal.full_name}: {message}" for message in problem.messages]
        ) from None
    pup.full_clean(validate_constraints=False)
    pup.save()
    return pup


def check_may_join(animal: Animal, born_on: datetime.date, other: Pup | None) -> None:
    """Raise ValidationError for one that cannot be of a birth. other: a pup that it is already."""
    if other is not None:
        raise ValidationError(
            {"young": tell("{animal} is {other} already.", animal=animal.full_name, other=other)}
        )
    if animal.state == Animal.State.DIED and animal.state_on and animal.state_on < born_on:
        raise ValidationError(
            {
                "young": tell(
                    "{animal} died on {day}, before {born}; it cannot be of this birth.",
                    animal=animal.full_name,
                    day=long_day(animal.state_on),
                    born=long_day(born_on),
                )
            }
        )


def parents_of_joined(animal: Animal, family: Parents, *, keeps_its_sires: bool) -> Parents:
    """The dam of the birth, and its sires or those on record."""
    theirs = parents_of(animal)
    is_known = family.sire is not None or bool(family.possible_sires)
    takes = is_known and not (keeps_its_sires and (theirs.sire or theirs.possible_sires))
    return family if takes else replace(theirs, dam=family.dam)


def pup_joined(litter: Litter, number: int, animal: Animal, by: Person | None) -> Pup:
    """The pup that it becomes, not written yet."""
    return Pup(
        litter=litter,
        number=number,
        alive=not (animal.state == Animal.State.DIED and animal.state_on == litter.born_on),
        sex=animal.sex,
        markings=animal.markings[:400],
        animal=animal,
        is_joined=True,
        recorded_by=by,
    )
