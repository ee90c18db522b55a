"""Acts around a birth: the litter is recorded, its living pups become animals."""

import datetime
from collections.abc import Collection, Sequence

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.models import Animal
from breeding.animals.parents.parentage import Parents
from breeding.litters.births.codes import LitterCodes
from breeding.litters.births.correcting import check_not_recorded
from breeding.litters.births.facts import MOST_PUPS, PupFacts, check_number
from breeding.litters.births.family import (
    family_of,
    kind_of_birth,
    next_number,
    own_day,
    settle_kind,
)
from breeding.litters.births.joining import join
from breeding.litters.births.young import make_animal
from breeding.litters.doubts import check_age, doubts_of_birth
from breeding.litters.models import Litter, Pup
from breeding.pairings.services import record_outcome
from breeding.program.models import Person
from breeding.program.problems.doubts import ask
from breeding.words.language import tell


def next_litter_code(born_on: datetime.date) -> str:
    """Year and number within the year: 26-03."""
    return LitterCodes().next(born_on)


@transaction.atomic
def record_birth(
    *,
    dam: Animal,
    born_on: datetime.date,
    pups: Sequence[PupFacts],
    today: datetime.date,
    by: Person | None,
    parents: Parents | None = None,
    premature: bool = False,
    note: str = "",
    young: Sequence[Animal] = (),
    keep_their_sires: bool = False,
    is_under_way: bool = False,
    sure: Collection[str] = frozenset(),
) -> Litter:
    """Record a litter: the pregnancy closes, living pups become animals with their parents.

    `parents` names the sire, or several possible ones; the dam is the dam. Pups live in the
    dam's tank until they are moved. young: animals on record that are pups of this birth, instead
    of being made a second time; they take its day and dam, and its sires unless
    `keep_their_sires` says that those on record are right. is_under_way: more pups are to come.
    Raises DoubtError for a young dam or very many pups, which `sure` answers.
    """
    number = len(pups) + len(young)
    check_number(number)
    check_not_recorded(dam, born_on)
    check_age(dam, born_on)
    ask(doubts_of_birth(dam, born_on, number), sure)
    kind = kind_of_birth([pup.alive for pup in pups], premature=premature)
    outcome = record_outcome(female=dam, on=born_on, kind=kind, today=today, by=by)
    litter = Litter(
        code=next_litter_code(born_on),
        dam=dam,
        born_on=born_on,
        outcome=outcome,
        is_under_way=is_under_way,
        note=note.strip(),
        recorded_by=by,
    )
    litter.full_clean()
    litter.save()
    given = parents or Parents()
    family = Parents(given.sire, dam, given.possible_sires)
    for animal in young:
        join(litter, animal, family, by=by, keeps_its_sires=keep_their_sires)
    for facts in pups:
        _add_pup(litter, facts, family, by, sure)
    settle_kind(litter)
    return litter


@transaction.atomic
def add_pup(
    litter: Litter,
    facts: PupFacts,
    *,
    by: Person | None,
    parents: Parents | None = None,
    sure: Collection[str] = frozenset(),
) -> Pup:
    """One more pup of a recorded litter, the next or found later.

    Its day is that of the litter unless it has a later one, its parents are those of its mates, or
    `parents` where none of them was born alive.
    """
    litter.refresh_from_db(fields=["withdrawn_at"])
    if litter.is_withdrawn:
        raise ValidationError(tell("{litter} has been withdrawn.", litter=litter))
    number = litter.pups.count()
    if number >= MOST_PUPS:
        raise ValidationError(
            tell(
                "{litter} has {number} pups, the most this can take.",
                litter=litter,
                number=number,
            )
        )
    ask(doubts_of_birth(litter.dam, litter.born_on, number + 1), sure)
    pup = _add_pup(litter, facts, family_of(litter, meant=parents), by, sure)
    settle_kind(litter)
    return pup


def _add_pup(
    litter: Litter, facts: PupFacts, family: Parents, by: Person | None, sure: Collection[str]
) -> Pup:
    pup = Pup(
        litter=litter,
        number=next_number(litter),
        born_on=own_day(litter, facts.born_on),
        alive=facts.alive,
        sex=facts.sex,
        disc_width_mm=facts.disc_width_mm,
        weight_g=facts.weight_g,
        yolk=facts.yolk,
        markings=facts.markings.strip(),
        recorded_by=by,
    )
    if facts.alive:
        pup.animal = make_animal(pup, family, by, sure)
    pup.full_clean(validate_constraints=False)
    pup.save()
    return pup
