"""Two animals on record are one: what hangs on the second goes to the first, and comes back."""

import datetime
from fractions import Fraction
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from breeding.animals.mending.withdrawing import bring_back_animal, withdraw_animal
from breeding.animals.models import Animal
from breeding.animals.parents.parentage import Parents
from breeding.animals.services import change_animal, parents_of
from breeding.exchange.models import KnownAs, SaidOne
from breeding.program.models import Person
from breeding.program.services import bring_back, withdraw
from breeding.words.language import tell


@transaction.atomic
def say_one(
    kept: Animal,
    gone: Animal,
    *,
    reason: str,
    by: Person | None,
    now: datetime.datetime,
) -> SaidOne:
    """`gone` is `kept`, written down twice: its young, names and known parents are those of kept.

    Raises ValidationError where they cannot be one, and while anything else rests on `gone`: an
    animal of one's own with a life of its own on record is no second name.
    """
    said = SaidOne(kept=kept, gone=gone, reason=reason.strip(), recorded_by=by)
    said.moved = _move(kept, gone, by=by, now=now, reason=reason)
    said.full_clean(exclude=["recorded_by"])
    said.save()
    return said


@transaction.atomic
def take_back_one(said: SaidOne, *, by: Person, now: datetime.datetime, reason: str) -> None:
    """They are two again: what was moved and not changed since goes back."""
    kept, gone = Animal.every.get(pk=said.kept_id), Animal.every.get(pk=said.gone_id)
    if gone.is_withdrawn:
        bring_back_animal(gone)
    for pk, is_new in said.moved["names"]:
        name = KnownAs.objects.filter(pk=pk, animal=kept).first()
        if name is not None:
            name.animal, name.is_new = gone, is_new
            name.save()
    for pk, part, share in said.moved["young"]:
        young = Animal.objects.filter(pk=pk).first()
        if young is not None:
            _change_parent(young, part, kept, gone, Fraction(share))
    for part, pk in said.moved["parents"].items():
        if getattr(kept, f"{part}_id") == pk:
            nothing: dict[str, Any] = {part: None}
            change_animal(kept, **nothing)
    withdraw(said, by=by, now=now, reason=reason)


@transaction.atomic
def bring_back_one(said: SaidOne, *, by: Person, now: datetime.datetime) -> None:
    """They are one after all. Raises ValidationError as `say_one` does."""
    kept, gone = Animal.every.get(pk=said.kept_id), Animal.every.get(pk=said.gone_id)
    said.moved = _move(kept, gone, by=by, now=now, reason=said.reason)
    bring_back(said)


def differences_of_two(kept: Animal, gone: Animal) -> list[str]:
    """What the records say differently of two that may be one, each in words."""
    found = []
    if kept.born_on and gone.born_on and kept.born_on != gone.born_on:
        found.append(
            tell(
                "born: {one} and {other}",
                one=kept.born_on.isoformat(),
                other=gone.born_on.isoformat(),
            )
        )
    for part, words in (("sire", tell("sire")), ("dam", tell("dam"))):
        one, other = getattr(kept, part), getattr(gone, part)
        if one is not None and other is not None and one != other:
            found.append(
                tell("{what}: {one} and {other}", what=words, one=one.name, other=other.name)
            )
    return found


def _move(
    kept: Animal, gone: Animal, *, by: Person | None, now: datetime.datetime, reason: str
) -> dict[str, Any]:
    _check(kept, gone, reason)
    names = []
    for name in KnownAs.objects.filter(animal=gone).order_by("pk"):
        names.append([name.pk, name.is_new])
        name.animal, name.is_new = kept, False
        name.save()
    young = []
    of_gone = Q(sire=gone) | Q(dam=gone) | Q(possible_sires__sire=gone)
    for one in Animal.objects.filter(of_gone).distinct().order_by("pk"):
        shares = {sire.pk: share for sire, share in parents_of(one).possible_sires}
        for part in ("sire", "dam", "possible_sires"):
            share = shares.get(gone.pk, Fraction(1))
            if _change_parent(one, part, gone, kept, share):
                young.append([one.pk, part, str(share)])
    parents: dict[str, int] = {
        part: getattr(gone, f"{part}_id")
        for part in ("sire", "dam")
        if getattr(kept, f"{part}_id") is None and getattr(gone, f"{part}_id") is not None
    }
    if parents:
        facts: dict[str, Any] = {part: Animal.objects.get(pk=pk) for part, pk in parents.items()}
        change_animal(kept, **facts)
    withdraw_animal(gone, by=by, now=now, reason=reason)
    return {"names": names, "young": young, "parents": parents}


def _check(kept: Animal, gone: Animal, reason: str) -> None:
    if kept.pk == gone.pk:
        raise ValidationError({"gone": tell("These are not two animals.")})
    if not reason.strip():
        raise ValidationError({"reason": tell("Say by what you know it; the reason stays.")})
    if "U" not in (kept.sex, gone.sex) and kept.sex != gone.sex:
        raise ValidationError(
            {"gone": tell("One is a male and the other a female: they cannot be one.")}
        )
    if gone.is_here:
        raise ValidationError(
            {
                "gone": tell(
                    "{animal} is here. Name the one that is here first, and second the one that "
                    "is known from others alone.",
                    animal=gone.name,
                )
            }
        )


def _change_parent(young: Animal, part: str, one: Animal, other: Animal, share: Fraction) -> bool:
    """Put `other` where `one` is a parent; whether it was.

    share: of a possible sire, how much of it goes over; what `one` has besides stays its own.
    """
    before = parents_of(young)
    if part == "possible_sires":
        if not any(sire.pk == one.pk for sire, _ in before.possible_sires):
            return False
        sires = {sire.pk: sire for sire, _ in (*before.possible_sires, (other, share))}
        shares = {sire.pk: its for sire, its in before.possible_sires}
        moved = min(share, shares[one.pk])
        shares[one.pk] -= moved
        shares[other.pk] = shares.get(other.pk, Fraction(0)) + moved
        found = tuple((sires[pk], its) for pk, its in shares.items() if its)
        change_animal(young, parents=Parents(before.sire, before.dam, found))
        return True
    if getattr(young, f"{part}_id") != one.pk:
        return False
    facts: dict[str, Any] = {part: other}
    change_animal(young, **facts)
    return True
