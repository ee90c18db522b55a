"""The animals that pups become: made with a birth, and withdrawn or brought back with it."""

import datetime
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models

from breeding.animals.mending.withdrawing import bring_back_animal, withdraw_animal
from breeding.animals.models import Animal
from breeding.animals.parents.parentage import Parents
from breeding.animals.services import add_measurement, register_animal
from breeding.housing.queries import where_are
from breeding.housing.stays.placing import place
from breeding.litters.births.family import code_of
from breeding.litters.models import Pup
from breeding.program.acts.resting import keys_of, parts_of, resting_on, rests_words
from breeding.program.models import Person, Withdrawable
from breeding.program.services import bring_back, withdraw
from breeding.words.language import tell


@dataclass(frozen=True)
class Withdrawing:
    """Who withdraws, when and why: the same for all that goes in one act, so that it is found."""

    by: Person | None
    now: datetime.datetime
    reason: str


def make_animal(
    pup: Pup, family: Parents, by: Person | None, sure: Collection[str] = frozenset()
) -> Animal:
    """The animal of a pup born alive: its parents, its first size, and a place with its dam."""
    litter = pup.litter
    animal = register_animal(
        by=by,
        code=code_of(litter, pup.number),
        parents=family,
        **facts_of_animal(pup),
    )
    sizes: dict[str, Any] = {"disc_width_mm": pup.disc_width_mm, "weight_g": pup.weight_g}
    if any(sizes.values()):
        add_measurement(animal, by=by, on=pup.day, sure=sure, **sizes)
    stay = where_are([litter.dam]).get(litter.dam.pk)
    if stay is not None:
        # Nobody chooses where pups are born: who must leave is said afterwards.
        place(animal, stay.tank, on=max(pup.day, stay.since), by=by, side=stay.side)
    return animal


def facts_of_animal(pup: Pup) -> dict[str, Any]:
    """What is known of the animal of a pup born alive, beside its code and its parents."""
    return {
        "sex": pup.sex,
        "origin": Animal.Origin.BORN_HERE,
        "born_on": pup.day,
        "born_precision": Animal.Precision.DAY,
        "state_on": pup.day,
        "markings": pup.markings,
    }


def refuse_when_resting(
    records: Iterable[models.Model], besides: Iterable[models.Model], what: str
) -> None:
    """Raise ValidationError naming what else is on record that rests on these."""
    if found := resting_on(records, besides=keys_of(besides)):
        raise ValidationError(
            tell(
                "{what}, because {rests}. Withdraw or correct that first.",
                what=what,
                rests=rests_words(found),
            )
        )


def withdraw_rows(records: Iterable[models.Model], how: Withdrawing) -> None:
    """Each of these that counts and keeps by itself why it was withdrawn."""
    for record in records:
        if isinstance(record, Withdrawable) and not record.is_withdrawn:
            withdraw(record, by=how.by, now=how.now, reason=how.reason)


def withdraw_young(animals: Iterable[Animal], how: Withdrawing) -> None:
    """The animals with all that is only their own. Raises ValidationError while others need it."""
    for animal in animals:
        if not animal.is_withdrawn:
            withdraw_animal(animal, by=how.by, now=how.now, reason=how.reason)


def bring_young_back(animals: Iterable[Animal], at: datetime.datetime) -> None:
    """The animals that were withdrawn at that very moment, with their parts."""
    for animal in animals:
        if animal.withdrawn_at == at:
            bring_back_animal(animal)
            bring_rows_back(parts_of(animal), at)


def bring_rows_back(records: Iterable[models.Model], at: datetime.datetime) -> None:
    for record in records:
        if isinstance(record, Withdrawable) and record.withdrawn_at == at:
            bring_back(record)
