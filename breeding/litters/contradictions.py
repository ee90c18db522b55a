"""Where an animal's own record and its litter say different things, and the ways out of it."""

import datetime
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from django.db.models import F, Q
from django.db.models.functions import Coalesce

from breeding.animals.models import Animal
from breeding.animals.parents.contradicting import Answer, Asking, Question
from breeding.animals.parents.parentage import Parents
from breeding.animals.services import PARENT_FACTS, change_animal, parents_of
from breeding.litters.births.correcting import correct_birth
from breeding.litters.births.facts import DAYS_BETWEEN_BIRTHS
from breeding.litters.births.family import family_of, own_day, pups_on_record, same_sires
from breeding.litters.births.joining import DAYS_APART_OFFERED
from breeding.litters.births.pups import move_pup, take_out_of_litter
from breeding.litters.models import Litter, Pup
from breeding.words.days import born_words, long_day
from breeding.words.language import tell
from breeding.words.numbers import joined

OF_THE_BIRTH = ("born_on", "born_precision", "parents", *PARENT_FACTS)


def pup_of(animal: Animal) -> Pup | None:
    """Its place in a litter that counts."""
    pups = Pup.objects.filter(animal=animal, litter__withdrawn_at__isnull=True)
    found = pups.select_related("litter__dam", "litter__outcome").first()
    if found is not None:
        found.animal = animal
    return found


# Pups that a contradiction is looked for in; a withdrawn animal's say nothing.
DIFFER = Q(animal__withdrawn_at__isnull=True, animal__isnull=False) & (
    Q(animal__dam__isnull=True)
    | ~Q(animal__dam=F("litter__dam"))
    | Q(animal__born_on__isnull=True)
    | ~Q(animal__born_on=Coalesce("born_on", "litter__born_on"))
)


@dataclass(frozen=True)
class Contradiction:
    """A pup whose animal has another dam or day on record than its litter."""

    pup: Pup
    animal: Animal
    words: str


def contradiction_of(pup: Pup) -> Contradiction | None:
    """What stands on record now. A sire of its own is none: a test can have told it."""
    animal, litter = pup.animal, pup.litter
    if animal is None:
        return None
    found = []
    if animal.dam_id != litter.dam_id:
        found.append(
            tell("its dam is {dam}", dam=animal.dam.name)
            if animal.dam
            else tell("its dam is not known")
        )
    if not _day_agrees(animal.born_on, animal.born_precision, pup.day):
        found.append(
            tell("it was born {born}", born=born_words(animal.born_on, animal.born_precision))
        )
    if not found:
        return None
    words = tell(
        "{animal} stands in {litter} of {dam}, born {day}, but on its own record {differs}.",
        animal=animal.full_name,
        litter=litter,
        dam=litter.dam.name,
        day=long_day(pup.day),
        differs=joined(found),
    )
    return Contradiction(pup, animal, words)


def _day_agrees(
    born_on: datetime.date | None, precision: str, litter_born_on: datetime.date
) -> bool:
    if born_on is None:
        return False
    if precision == Animal.Precision.YEAR:
        return born_on.year == litter_born_on.year
    if precision == Animal.Precision.MONTH:
        return (born_on.year, born_on.month) == (litter_born_on.year, litter_born_on.month)
    return born_on == litter_born_on


# ------------------------------------------------------------------ asked before a change


def ask_of_litter(asking: Asking) -> Question | None:
    """What changing a pup's dam, sires or day would contradict in its litter; None: nothing."""
    pup = pup_of(asking.animal)
    if pup is None:
        return None
    change = _Change(pup, asking)
    differs = change.differs()
    if not differs:
        return None
    litter = pup.litter
    words = tell(
        "{animal} is pup {number} of {litter}, {dam}'s of {day}, and {differs} "
        "would contradict that.",
        animal=asking.animal.name,
        number=pup.number,
        litter=litter,
        dam=litter.dam.name,
        day=long_day(litter.born_on),
        differs=joined(differs),
    )
    return Question(words, tuple(change.answers()))


class _Change:
    """The change of an animal that is a pup, held against its litter."""

    def __init__(self, pup: Pup, asking: Asking) -> None:
        self.pup, self.asking, self.facts = pup, asking, asking.facts
        self.litter = pup.litter
        kept = Animal.every.select_related("sire", "dam").get(pk=asking.animal.pk)
        self.kept, self.before = kept, parents_of(kept)
        given = {name: self.facts[name] for name in PARENT_FACTS if name in self.facts}
        self.parents: Parents = replace(self.facts.get("parents") or self.before, **given)
        self.born_on = self.facts.get("born_on", kept.born_on)
        self.precision = self.facts.get("born_precision", kept.born_precision)
        self.mates = pups_on_record(self.litter)

    def differs(self) -> list[str]:
        """In words, each fact that is being changed to what its litter does not say."""
        return [
            *([tell("another dam")] if self._dam_differs else []),
            *([tell("another day of birth")] if self._day_differs else []),
            *([tell("another sire")] if self._sires_differ else []),
        ]

    @property
    def _dam_differs(self) -> bool:
        dam = self.parents.dam
        return dam != self.before.dam and (dam is None or dam.pk != self.litter.dam_id)

    @property
    def _day_differs(self) -> bool:
        was = (self.kept.born_on, self.kept.born_precision)
        is_changed = (self.born_on, self.precision) != was
        return is_changed and not _day_agrees(self.born_on, self.precision, self.pup.day)

    @property
    def _sires_differ(self) -> bool:
        if same_sires(self.parents, self.before):
            return False
        others = [pup for pup in self.mates if pup.pk != self.pup.pk and pup.animal is not None]
        return bool(others) and not same_sires(self.parents, family_of(self.litter, others))

    def answers(self) -> Iterator[Answer]:
        born = self.born_on if self.precision == Animal.Precision.DAY else None
        of_her = self._dam_differs or self._day_differs
        if not of_her:
            yield Answer(
                "alone", tell("Only this pup has these parents, as by a test"), self._alone
            )
        if self.parents.dam is not None and (born is not None or not self._day_differs):
            words = tell(
                "Correct the whole of {litter}: all its pups, its day and its dam",
                litter=self.litter,
            )
            yield Answer("litter", words, self._whole_litter)
        if self._is_later_day:
            yield Answer(
                "later", tell("It was born later than the first: its own day"), self._later
            )
        if of_her and len(self.mates) > 1:
            for other in self._other_litters():
                words = tell(
                    "Move it to {litter}, {dam}'s of {day}",
                    litter=other,
                    dam=other.dam.name,
                    day=long_day(other.born_on),
                )
                yield Answer(f"move-{other.pk}", words, self._move_to(other))
            yield Answer(
                "out", tell("It is no pup of {litter}: take it out", litter=self.litter), self._out
            )

    def _other_litters(self) -> list[Litter]:
        if self.born_on is None or self.parents.dam is None:
            return []
        apart = datetime.timedelta(days=DAYS_APART_OFFERED)
        near = Litter.objects.filter(
            dam=self.parents.dam,
            withdrawn_at__isnull=True,
            born_on__range=(self.born_on - apart, self.born_on + apart),
        )
        return list(near.exclude(pk=self.litter.pk).select_related("dam", "outcome"))

    def _rest(self) -> dict[str, Any]:
        return {name: value for name, value in self.facts.items() if name not in OF_THE_BIRTH}

    def _alone(self) -> Animal:
        return change_animal(self.asking.animal, **self.facts)

    @property
    def _is_later_day(self) -> bool:
        """Only the day differs, by less than another birth would."""
        on = self.born_on
        if self._dam_differs or on is None or self.precision != Animal.Precision.DAY:
            return False
        return bool(0 < (on - self.litter.born_on).days < DAYS_BETWEEN_BIRTHS)

    def _later(self) -> Animal:
        self.pup.born_on = own_day(self.litter, self.born_on)
        self.pup.save(update_fields=["born_on"])
        return change_animal(self.asking.animal, **self.facts)

    def _whole_litter(self) -> Animal:
        assert self.parents.dam is not None  # noqa: S101  (offered with a dam only)
        sires = None if same_sires(self.parents, self.before) else self.parents
        correct_birth(
            self.litter,
            dam=self.parents.dam,
            born_on=self.born_on if self._day_differs else self.litter.born_on,
            parents=sires,
            today=self.asking.today,
        )
        return self._with_the_rest()

    def _move_to(self, other: Litter) -> Any:
        def move() -> Animal:
            move_pup(self.pup, other)
            return self._with_the_rest()

        return move

    def _with_the_rest(self) -> Animal:
        return change_animal(Animal.objects.get(pk=self.asking.animal.pk), **self._rest())

    def _out(self) -> Animal:
        take_out_of_litter(self.pup, by=self.asking.by, now=self.asking.now)
        return change_animal(self.asking.animal, **self.facts)
