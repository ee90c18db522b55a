"""One pup put right: fate, sex, size, yolk and marks; moved to another litter; taken out."""

import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.models import Animal, Measurement
from breeding.animals.parents.parentage import Parents
from breeding.animals.services import add_measurement, change_animal, change_measurement, parents_of
from breeding.litters.births.beginnings import beginnings, birth_measurement, move_beginnings
from breeding.litters.births.correcting import correct_young
from breeding.litters.births.facts import MOST_PUPS, PupFacts
from breeding.litters.births.family import (
    code_of,
    family_of,
    next_number,
    own_day,
    pups_on_record,
    refuse_withdrawn,
    settle_kind,
)
from breeding.litters.births.young import (
    Withdrawing,
    bring_rows_back,
    bring_young_back,
    make_animal,
    refuse_when_resting,
    withdraw_young,
)
from breeding.litters.models import Litter, Pup
from breeding.program.acts.resting import parts_of
from breeding.program.models import Person
from breeding.program.services import bring_back, withdraw
from breeding.words.language import message, tell
from breeding.words.stored import as_stored, stored

STILLBORN = stored(message("stillborn"))
STILLBORN_AS = stored(message("stillborn: {pup}"))
NOT_MEASURED = stored(message("not measured at birth: {pup}"))
NOT_OF_IT = stored(message("{code} is not of this litter"))


@transaction.atomic
def correct_pup(
    pup: Pup,
    facts: PupFacts,
    *,
    by: Person | None,
    now: datetime.datetime,
    parents: Parents | None = None,
) -> Pup:
    """Write how one pup really was at birth onto it and its animal; its number stays.

    One written down as dead that lives becomes an animal, of `parents` where none of its mates was
    born alive; the animal of one that was stillborn is withdrawn, as long as nothing but its birth
    rests on it. Raises ValidationError by field.
    """
    refuse_withdrawn(pup)
    refuse_withdrawn(pup.litter)
    if pup.animal is not None and not facts.alive and pup.alive:
        _was_stillborn(pup, by, now)
    elif pup.animal is not None:
        _correct_its_animal(pup, pup.animal, facts, by, now)
    was_dead = not pup.alive
    _correct_day(pup, facts)
    pup.alive, pup.sex = facts.alive, facts.sex
    pup.disc_width_mm, pup.weight_g = facts.disc_width_mm, facts.weight_g
    pup.yolk, pup.markings = facts.yolk, facts.markings.strip()
    if pup.animal is None and facts.alive and was_dead:
        pup.animal = _it_lives(pup, by, parents)
    pup.full_clean(validate_constraints=False)
    pup.save()
    settle_kind(pup.litter)
    return pup


def _correct_day(pup: Pup, facts: PupFacts) -> None:
    """Its own day, or that of its litter: what was written with its birth moves along."""
    own = own_day(pup.litter, facts.born_on)
    day = own or pup.litter.born_on
    if pup.animal is not None and day != pup.day:
        move_beginnings(pup, day, pup.litter.dam)
        correct_young(pup.animal, pup, day, parents_of(pup.animal))
    pup.born_on = own


def _was_stillborn(pup: Pup, by: Person | None, now: datetime.datetime) -> None:
    animal = pup.animal
    assert animal is not None  # noqa: S101  (for the type checker)
    if pup.is_joined:
        if animal.state != Animal.State.DIED:
            raise ValidationError(
                {
                    "fate": tell(
                        "{animal} is on record as an animal that is here; say on its own page that "
                        "it died first.",
                        animal=animal.name,
                    )
                    if animal.is_here
                    else tell(
                        "{animal} is on record as an animal that {state}; say on its own page that "
                        "it died first.",
                        animal=animal.name,
                        state=animal.get_state_display(),
                    )
                }
            )
        return
    own = beginnings(pup)
    try:
        refuse_when_resting(
            [animal, *own],
            [pup, *own],
            tell("{animal} was not stillborn on record", animal=animal.name),
        )
    except ValidationError as problem:
        raise ValidationError({"fate": problem.messages}) from None
    withdraw(pup, by=by, now=now, reason=STILLBORN)
    withdraw_young(
        [animal], Withdrawing(by, now, as_stored(STILLBORN_AS, pup=code_of(pup.litter, pup.number)))
    )
    pup.animal = None
    bring_back(pup)


def _it_lives(pup: Pup, by: Person | None, parents: Parents | None) -> Animal:
    """Its animal: the one withdrawn when it was said to be stillborn, or a new one."""
    code = code_of(pup.litter, pup.number)
    known = Animal.every.filter(
        code=code, withdrawn_at__isnull=False, withdrawn_reason__startswith=f"{STILLBORN}: "
    ).first()
    if known is None:
        return make_animal(pup, family_of(pup.litter, meant=parents), by)
    assert known.withdrawn_at is not None  # noqa: S101  (for the type checker)
    bring_young_back([known], known.withdrawn_at)
    return known


def _correct_its_animal(
    pup: Pup, animal: Animal, facts: PupFacts, by: Person | None, now: datetime.datetime
) -> None:
    """What its animal still has from its birth; what was found out later stays."""
    _correct_size(pup, animal, facts, by, now)
    changes: dict[str, Any] = {}
    if facts.sex != pup.sex and animal.sex == pup.sex:
        changes["sex"] = facts.sex
    if facts.markings.strip() != pup.markings and animal.markings == pup.markings:
        changes["markings"] = facts.markings.strip()
    if changes:
        change_animal(animal, **changes)


def _correct_size(
    pup: Pup, animal: Animal, facts: PupFacts, by: Person | None, now: datetime.datetime
) -> None:
    new: dict[str, Any] = {
        name: size for name, size in facts.sizes.items() if size != getattr(pup, name)
    }
    if not new or pup.is_joined:
        return
    measured: Measurement | None = birth_measurement(pup)
    if measured is None and any(new.values()):
        add_measurement(animal, by=by, on=pup.day, **new)
    elif measured is not None and any(facts.sizes.values()):
        change_measurement(measured, **new)
    elif measured is not None:
        withdraw(
            measured,
            by=by,
            now=now,
            reason=as_stored(NOT_MEASURED, pup=code_of(pup.litter, pup.number)),
        )


@transaction.atomic
def move_pup(pup: Pup, to: Litter) -> Pup:
    """A pup that stood in the wrong litter: number, day, dam and sires follow the right one.

    Its code stays, because papers may bear it. Raises ValidationError when it cannot be moved.
    """
    refuse_withdrawn(pup)
    refuse_withdrawn(to)
    origin = pup.litter
    if to == origin:
        raise ValidationError({"to": tell("It is in {litter} already.", litter=to)})
    if to.pups.count() >= MOST_PUPS:
        raise ValidationError(
            {
                "to": tell(
                    "{litter} has {number} pups, the most this can take.",
                    litter=to,
                    number=MOST_PUPS,
                )
            }
        )
    _refuse_to_empty(origin)
    family = family_of(to)
    if family.sire is None and not family.possible_sires:
        family = Parents(None, to.dam)
    if pup.animal is not None:
        move_beginnings(pup, to.born_on, to.dam)
        correct_young(pup.animal, pup, to.born_on, family)
    pup.litter, pup.number, pup.born_on = to, next_number(to), None
    pup.full_clean(validate_constraints=False)
    pup.save()
    settle_kind(origin)
    settle_kind(to)
    return pup


def _refuse_to_empty(litter: Litter) -> None:
    if len(pups_on_record(litter)) == 1:
        raise ValidationError(
            tell(
                "It is the only pup of {litter}. Correct the litter, or withdraw the birth whole.",
                litter=litter,
            )
        )


@transaction.atomic
def withdraw_pup(pup: Pup, *, by: Person | None, now: datetime.datetime, reason: str) -> Pup:
    """A pup that never was: it and its animal count no more; an animal joined to it stays."""
    refuse_withdrawn(pup)
    _refuse_to_empty(pup.litter)
    animal = None if pup.is_joined else pup.animal
    if animal is not None:
        parts = parts_of(animal)
        refuse_when_resting(
            [animal, *parts],
            [pup, *parts],
            tell("{pup} with {animal} cannot be withdrawn", pup=pup, animal=animal.name),
        )
    withdraw(pup, by=by, now=now, reason=reason)
    if animal is not None:
        withdraw_young([animal], Withdrawing(by, now, reason))
    settle_kind(pup.litter)
    return pup


@transaction.atomic
def bring_pup_back(pup: Pup) -> Pup:
    """A pup that was after all, with its animal. Raises ValidationError when it cannot be."""
    if pup.litter.is_withdrawn:
        raise ValidationError(
            tell("{litter} is withdrawn; bring back the birth first.", litter=pup.litter)
        )
    at = pup.withdrawn_at
    assert at is not None  # noqa: S101  (for the type checker)
    if pup.animal is not None:
        bring_young_back([pup.animal], at)
    bring_rows_back([pup], at)
    settle_kind(pup.litter)
    return pup


@transaction.atomic
def take_out_of_litter(pup: Pup, *, by: Person | None, now: datetime.datetime) -> Pup:
    """An animal that is no pup of its litter: it stands alone, and its place is withdrawn."""
    refuse_withdrawn(pup)
    _refuse_to_empty(pup.litter)
    assert pup.animal is not None  # noqa: S101  (for the type checker)
    withdraw(pup, by=by, now=now, reason=as_stored(NOT_OF_IT, code=pup.animal.code))
    settle_kind(pup.litter)
    return pup
