"""Many births at once: of those of which nothing is asked and that nothing refuses."""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.bulk import NewAnimal, check_animals, with_parents_as_they_stand
from breeding.animals.models import Animal
from breeding.animals.services import register_animals
from breeding.housing.queries import where_are
from breeding.housing.stays.newborn import place_newborn
from breeding.litters.births.codes import LitterCodes
from breeding.litters.births.correcting import refuse_too_near
from breeding.litters.births.facts import PupFacts, check_number
from breeding.litters.births.family import code_of, kind_of_birth
from breeding.litters.births.young import facts_of_animal
from breeding.litters.doubts import check_age, doubts_of_birth
from breeding.litters.models import Litter, Pup
from breeding.pairings.models import Outcome
from breeding.pairings.services import check_day_of
from breeding.program.acts.together import write_together
from breeding.program.models import Person
from breeding.program.problems.several import clean_of_its_own, read_of


@dataclass(frozen=True)
class Birth:
    """A birth as it was written down, of pups that stand on no record."""

    dam: Animal
    born_on: datetime.date
    pups: tuple[PupFacts, ...]
    sire: Animal | None = None
    premature: bool = False
    note: str = ""


def are_plain(
    births: Sequence[Birth],
    *,
    besides: Iterable[tuple[int, datetime.date]] = (),
    today: datetime.date,
) -> list[bool]:
    """Which of these `record_plain` can write; any other one is for `record_birth`.

    Not one with a pup that was measured, or came on a later day than the first.
    Each is looked at beside the litters on record and all the other births of its dam, whether
    they come before it or after. besides: dam and day of births that are written meanwhile.
    """
    written = _unsaved(births, by=None)
    near: dict[int, list[Litter]] = defaultdict(list)
    counting = Litter.objects.filter(withdrawn_at__isnull=True)
    for litter in read_of(counting, "dam", (one.dam.pk for one in births)):
        near[litter.dam_id].append(litter)
    for litter in written:
        near[litter.dam_id].append(litter)
    for dam, born_on in besides:
        near[dam].append(Litter(dam_id=dam, born_on=born_on))
    pups = _pups_of(births, written, by=None)
    found = [
        _is_plain(birth, litter, its, near[birth.dam.pk], today)
        for birth, litter, its in zip(births, written, pups, strict=True)
    ]
    rows = list(_animals_of(births, pups))
    refused = {key for one in check_animals(with_parents_as_they_stand(rows)) for key in one.keys}
    for at, key in _living(births):
        found[at] = found[at] and key not in refused
    return found


def _is_plain(
    birth: Birth,
    litter: Litter,
    pups: Sequence[Pup],
    near: Sequence[Litter],
    today: datetime.date,
) -> bool:
    number = len(birth.pups)
    if any(any(one.sizes.values()) or one.born_on for one in birth.pups):
        return False
    try:
        check_number(number)
        refuse_too_near(birth.dam, birth.born_on, (one for one in near if one is not litter))
        check_age(birth.dam, birth.born_on)
        check_day_of(birth.dam, birth.born_on, today)
        clean_of_its_own(litter.outcome)
        clean_of_its_own(litter)
        for pup in pups:
            clean_of_its_own(pup)
    except ValidationError:
        return False
    return next(iter(doubts_of_birth(birth.dam, birth.born_on, number)), None) is None


@transaction.atomic
def record_plain(births: Sequence[Birth], *, by: Person | None) -> list[Litter]:
    """Record these births, which are plain, in few statements; as `record_birth` would each."""
    litters = _unsaved(births, by=by)
    write_together([litter.outcome for litter in litters])
    write_together(litters)
    pups = _pups_of(births, litters, by=by)
    rows = list(_animals_of(births, pups))
    animals = register_animals(rows, by=by) if rows else {}
    _place(births, animals, by)
    every = [pup for its in pups for pup in its]
    born_alive = [pup for pup in every if pup.alive]
    for pup, (_, key) in zip(born_alive, _living(births), strict=True):
        pup.animal = animals[key]
    write_together(every)
    return litters


def _unsaved(births: Sequence[Birth], *, by: Person | None) -> list[Litter]:
    codes = LitterCodes()
    return [
        Litter(
            code=codes.next(birth.born_on),
            dam=birth.dam,
            born_on=birth.born_on,
            outcome=Outcome(
                female=birth.dam,
                on=birth.born_on,
                kind=kind_of_birth([pup.alive for pup in birth.pups], premature=birth.premature),
                recorded_by=by,
            ),
            note=birth.note.strip(),
            recorded_by=by,
        )
        for birth in births
    ]


def _pups_of(
    births: Sequence[Birth], litters: Sequence[Litter], *, by: Person | None
) -> list[list[Pup]]:
    return [
        [
            Pup(
                litter=litter,
                number=number,
                alive=facts.alive,
                sex=facts.sex,
                yolk=facts.yolk,
                markings=facts.markings.strip(),
                recorded_by=by,
            )
            for number, facts in enumerate(birth.pups, start=1)
        ]
        for birth, litter in zip(births, litters, strict=True)
    ]


def _living(births: Sequence[Birth]) -> Iterator[tuple[int, int]]:
    """Of each pup born alive the place of its birth, and the key of its row."""
    places = (at for at, birth in enumerate(births) for pup in birth.pups if pup.alive)
    return ((at, key) for key, at in enumerate(places, start=1))


def _animals_of(births: Sequence[Birth], pups: Sequence[Sequence[Pup]]) -> Iterator[NewAnimal]:
    """A row of each pup born alive, under the keys of `_living`."""
    living = ((birth, pup) for birth, its in zip(births, pups, strict=True) for pup in its)
    for key, (birth, pup) in enumerate((one for one in living if one[1].alive), start=1):
        yield NewAnimal(
            key=key,
            code=code_of(pup.litter, pup.number),
            facts=facts_of_animal(pup),
            sire=birth.sire,
            dam=birth.dam,
        )


def _place(births: Sequence[Birth], animals: dict[int, Animal], by: Person | None) -> None:
    """With their dam, as far as she is in a tank."""
    there = where_are([birth.dam for birth in births])
    young = (
        (animals[key], stay)
        for at, key in _living(births)
        if (stay := there.get(births[at].dam.pk)) is not None
    )
    place_newborn(young, by=by)
