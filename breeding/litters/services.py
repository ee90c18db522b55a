"""Acts around a birth: the litter is recorded, its living pups become animals."""

import datetime
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.models import Animal
from breeding.animals.parentage import Parents
from breeding.animals.services import add_measurement, register_animal
from breeding.housing.queries import where_are
from breeding.housing.services import place
from breeding.litters.doubts import check_age, doubts_of_birth
from breeding.litters.models import Litter, Pup
from breeding.pairings.models import Outcome
from breeding.pairings.services import record_outcome
from breeding.program.models import Person
from breeding.program.problems.doubts import ask, threshold
from breeding.words.days import long_day
from breeding.words.numbers import counted

MOST_PUPS = round(threshold("pups_most"))


@dataclass(frozen=True)
class PupFacts:
    """One pup as it was found."""

    alive: bool = True
    sex: str = Animal.Sex.UNKNOWN
    disc_width_mm: int | None = None
    markings: str = ""


def next_litter_code(born_on: datetime.date) -> str:
    """Year and number within the year: 26-03."""
    year = f"{born_on:%y}-"
    taken = Litter.objects.filter(code__startswith=year).values_list("code", flat=True)
    numbers = [int(code[3:]) for code in taken if code[3:].isdigit()]
    return f"{year}{max(numbers, default=0) + 1:02d}"


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
    sure: Collection[str] = frozenset(),
) -> Litter:
    """Record a litter: the pregnancy closes, living pups become animals with their parents.

    `parents` names the sire, or several possible ones; the dam is the dam. Pups live in the
    dam's tank until they are moved. Raises DoubtError for a young dam or very many pups, which
    `sure` answers.
    """
    if not pups:
        raise ValidationError("A litter has at least one pup, alive or dead.")
    if len(pups) > MOST_PUPS:
        raise ValidationError(
            f"{counted(len(pups), 'pup')} are more than this can take ({MOST_PUPS})."
        )
    _check_not_recorded(dam, born_on)
    check_age(dam, born_on)
    ask(doubts_of_birth(dam, born_on, len(pups)), sure)
    kind = Outcome.Kind.PREMATURE if premature else Outcome.Kind.LIVE_BIRTH
    if not premature and not all(pup.alive for pup in pups):
        kind = Outcome.Kind.SOME_DEAD
    outcome = record_outcome(female=dam, on=born_on, kind=kind, today=today, by=by)
    litter = Litter(
        code=next_litter_code(born_on),
        dam=dam,
        born_on=born_on,
        outcome=outcome,
        note=note.strip(),
        recorded_by=by,
    )
    litter.full_clean()
    litter.save()
    given = parents or Parents()
    family = Parents(given.sire, dam, given.possible_sires)
    for number, facts in enumerate(pups, start=1):
        _add_pup(litter, number, facts, family, by, sure)
    return litter


@transaction.atomic
def add_pup(
    litter: Litter, facts: PupFacts, *, by: Person | None, sure: Collection[str] = frozenset()
) -> Pup:
    """One more pup of a recorded litter, found later; its parents are those of its mates."""
    if litter.is_withdrawn:
        raise ValidationError(f"{litter} has been withdrawn.")
    mates = list(litter.pups.select_related("animal__sire").order_by("number"))
    if len(mates) >= MOST_PUPS:
        raise ValidationError(f"{litter} has {counted(len(mates), 'pup')}, the most this can take.")
    ask(doubts_of_birth(litter.dam, litter.born_on, len(mates) + 1), sure)
    family = Parents(None, litter.dam)
    if first := next((mate.animal for mate in mates if mate.animal), None):
        possible = tuple((row.sire, row.share) for row in first.possible_sires.all())
        family = Parents(first.sire, litter.dam, possible)
    number = max((mate.number for mate in mates), default=0) + 1
    return _add_pup(litter, number, facts, family, by, sure)


def _check_not_recorded(dam: Animal, born_on: datetime.date) -> None:
    for other in Litter.objects.filter(dam=dam, withdrawn_at__isnull=True):
        apart = abs((other.born_on - born_on).days)
        if apart < 21:
            raise ValidationError(
                {
                    "born_on": f"{dam.name} has {other} of {long_day(other.born_on)} on record; "
                    f"a second birth {counted(apart, 'day')} apart is not possible. "
                    "Add the pup there."
                }
            )


def _add_pup(
    litter: Litter,
    number: int,
    facts: PupFacts,
    family: Parents,
    by: Person | None,
    sure: Collection[str],
) -> Pup:
    pup = Pup(
        litter=litter,
        number=number,
        alive=facts.alive,
        sex=facts.sex,
        disc_width_mm=facts.disc_width_mm,
        markings=facts.markings.strip(),
    )
    if facts.alive:
        pup.animal = register_animal(
            by=by,
            code=f"{litter.code}-{number}",
            sex=facts.sex,
            origin=Animal.Origin.BORN_HERE,
            born_on=litter.born_on,
            born_precision=Animal.Precision.DAY,
            state_on=litter.born_on,
            markings=facts.markings.strip(),
            parents=family,
        )
        if facts.disc_width_mm is not None:
            add_measurement(
                pup.animal,
                by=by,
                on=litter.born_on,
                disc_width_mm=facts.disc_width_mm,
                sure=sure,
            )
        stay = where_are([litter.dam]).get(litter.dam.pk)
        if stay is not None:
            day = max(litter.born_on, stay.since)
            # Nobody asks pups where to be born: who must leave is said afterwards.
            place(pup.animal, stay.tank, on=day, by=by, side=stay.side)
    pup.full_clean(validate_constraints=False)
    pup.save()
    return pup
