"""Whose young a litter is, and what its pups make of the birth."""

import datetime
from collections import Counter
from collections.abc import Iterable
from fractions import Fraction

from django.core.exceptions import ValidationError
from django.db.models import Prefetch, prefetch_related_objects

from breeding.animals.models import Animal, PossibleSire
from breeding.animals.parents.parentage import Parents
from breeding.animals.services import parents_of
from breeding.litters.births.facts import DAYS_BETWEEN_BIRTHS
from breeding.litters.models import Litter, Pup
from breeding.pairings.models import Outcome
from breeding.words.days import long_day
from breeding.words.language import tell


def own_day(litter: Litter, born_on: datetime.date | None) -> datetime.date | None:
    """The day of a pup that was born later than the first; None: with the first.

    Raises ValidationError for one before the birth, or so late that it is another birth.
    """
    if born_on is None or born_on == litter.born_on:
        return None
    if born_on < litter.born_on:
        raise ValidationError(
            {
                "born_on": tell(
                    "{day} is before {born}, when the first of {litter} was born; correct "
                    "the birth instead.",
                    day=long_day(born_on),
                    born=long_day(litter.born_on),
                    litter=litter,
                )
            }
        )
    if (born_on - litter.born_on).days >= DAYS_BETWEEN_BIRTHS:
        raise ValidationError(
            {
                "born_on": tell(
                    "{day} is {number} days or more after {born}; that is another birth.",
                    day=long_day(born_on),
                    number=DAYS_BETWEEN_BIRTHS,
                    born=long_day(litter.born_on),
                )
            }
        )
    return born_on


def pups_on_record(litter: Litter) -> list[Pup]:
    """Those that count, with their animals, by number."""
    found = litter.pups.select_related("animal__sire", "animal__dam").order_by("number")
    for pup in found:
        pup.litter = litter
    return list(found)


def family_of(
    litter: Litter, pups: Iterable[Pup] | None = None, *, meant: Parents | None = None
) -> Parents:
    """The dam of the litter, and the sires that most of its pups have on record.

    meant: whose they are while no pup is an animal, for those born dead keep no sire.
    """
    pups = _with_sires(pups_on_record(litter)) if pups is None else pups
    sires = Counter(_sires(pup.animal) for pup in pups if pup.animal is not None)
    if not sires:
        given = meant or Parents()
        return Parents(given.sire, litter.dam, given.possible_sires)
    (sire, possible), _ = sires.most_common(1)[0]
    return Parents(sire, litter.dam, possible)


def with_parents(pups: Iterable[Pup], litter: Litter) -> list[Pup]:
    """Of pups read with their animals: with the parents of these, at most three queries."""
    found = sorted(pups, key=lambda one: one.number)
    animals = [pup.animal for pup in found if pup.animal is not None]
    for one in animals:
        if one.dam_id == litter.dam_id:
            one.dam = litter.dam
    prefetch_related_objects(animals, "sire", "dam")
    return _with_sires(found)


def _with_sires(pups: list[Pup]) -> list[Pup]:
    """With the possible sires of all of them, in one query."""
    sires = Prefetch("possible_sires", PossibleSire.objects.select_related("sire"))
    prefetch_related_objects([pup.animal for pup in pups if pup.animal is not None], sires)
    return pups


def pups_of_other_parents(litter: Litter, pups: Iterable[Pup] | None = None) -> list[Pup]:
    """Those whose animal has another sire or dam on record than the litter."""
    pups = list(pups_on_record(litter) if pups is None else pups)
    family = family_of(litter, pups)
    return [
        pup
        for pup in pups
        if pup.animal is not None
        and (pup.animal.dam_id != litter.dam_id or not same_sires(parents_of(pup.animal), family))
    ]


def same_sires(one: Parents, other: Parents) -> bool:
    """The order in which possible sires were written says nothing."""
    return one.sire == other.sire and dict(one.possible_sires) == dict(other.possible_sires)


def _sires(animal: Animal) -> tuple[Animal | None, tuple[tuple[Animal, Fraction], ...]]:
    parents = parents_of(animal)
    ordered = sorted(parents.possible_sires, key=lambda one: one[0].pk)
    return parents.sire, tuple(ordered)


def kind_of_birth(fates: Iterable[bool], *, premature: bool) -> str:
    """How the birth went, by who was born alive."""
    if premature:
        return Outcome.Kind.PREMATURE
    return Outcome.Kind.LIVE_BIRTH if all(fates) else Outcome.Kind.SOME_DEAD


def settle_kind(litter: Litter) -> None:
    """The outcome says again how the birth went, once a pup's fate or place was corrected."""
    premature = litter.outcome.kind == Outcome.Kind.PREMATURE
    fates = litter.pups.values_list("alive", flat=True)
    kind = kind_of_birth(fates, premature=premature)
    if kind != litter.outcome.kind:
        litter.outcome.kind = kind
        litter.outcome.save()


def code_of(litter: Litter, number: int) -> str:
    """The code of the animal that a pup becomes."""
    return f"{litter.code}-{number}"


def next_number(litter: Litter) -> int:
    """After the last that was ever given in it: a withdrawn pup keeps its own, a moved its code."""
    given = list(Pup.every.filter(litter=litter).values_list("number", flat=True))
    codes = Animal.objects.filter(code__startswith=code_of(litter, 0)[:-1])
    ends = [code.rpartition("-")[2] for code in codes.values_list("code", flat=True)]
    return (
        max([*given, *(int(end) for end in ends if end.isdecimal() and len(end) < 4)], default=0)
        + 1
    )


def refuse_withdrawn(record: Litter | Pup) -> None:
    record.refresh_from_db(fields=["withdrawn_at"])
    if record.is_withdrawn:
        raise ValidationError(
            tell("{record} has been withdrawn already; bring it back first.", record=record)
        )
