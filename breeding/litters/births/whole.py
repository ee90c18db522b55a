"""A birth that never was: withdrawn with all that was written with it, and brought back whole."""

import datetime
from collections.abc import Iterator
from dataclasses import dataclass

from django.db import models, transaction

from breeding.animals.models import Animal
from breeding.litters.births.correcting import check_not_recorded
from breeding.litters.births.family import refuse_withdrawn
from breeding.litters.births.young import (
    Withdrawing,
    bring_rows_back,
    bring_young_back,
    refuse_when_resting,
    withdraw_rows,
    withdraw_young,
)
from breeding.litters.models import Litter, Pup
from breeding.program.acts.resting import keys_of, parts_of, resting_on
from breeding.program.models import Person, Withdrawable
from breeding.words.language import tell


@dataclass(frozen=True)
class Whole:
    """A birth with everything that goes with it; joined animals were there before, and stay."""

    litter: Litter
    pups: tuple[Pup, ...]
    animals: tuple[Animal, ...]
    parts: tuple[models.Model, ...]  # of these animals: stays, measurements, pictures
    season: tuple[models.Model, ...]  # ticks and rests after this birth

    @property
    def counting_parts(self) -> list[models.Model]:
        return [one for one in self.parts if isinstance(one, Withdrawable) and not one.is_withdrawn]

    def resting(self) -> list[models.Model]:
        """What else names one of these, so that the birth cannot be withdrawn."""
        return resting_on(self._all, besides=keys_of(self._all))

    @property
    def _all(self) -> list[models.Model]:
        of_birth = [self.litter, self.litter.outcome, *self.pups]
        return [*of_birth, *self.animals, *self.parts, *self.season]

    def refuse_when_resting(self) -> None:
        what = tell("The birth of {litter} cannot be withdrawn", litter=self.litter)
        refuse_when_resting(self._all, self._all, what)


def whole_of_birth(litter: Litter, *, at: datetime.datetime | None = None) -> Whole:
    """All that belongs to a birth that counts; `at`: all that was withdrawn with it then."""
    rows = Pup.every.filter(litter=litter, withdrawn_at=at).select_related("animal")
    pups = tuple(rows.order_by("number"))
    made = [pup.animal for pup in pups if pup.animal is not None and not pup.is_joined]
    animals = tuple(one for one in made if one.withdrawn_at == at)
    found = [part for animal in animals for part in parts_of(animal)]
    parts = tuple(part for part in found if not isinstance(part, Pup))
    season = tuple(_season(litter, at))
    return Whole(litter, pups, animals, parts, season)


def _season(litter: Litter, at: datetime.datetime | None) -> Iterator[models.Model]:
    yield from litter.outcome.nursery_ticks.filter(withdrawn_at=at)
    yield from litter.outcome.rests.filter(withdrawn_at=at)


@transaction.atomic
def withdraw_birth(
    litter: Litter, *, by: Person | None, now: datetime.datetime, reason: str
) -> Litter:
    """Take a birth out of all reckoning: litter, outcome, pups, their animals and what is theirs.

    Her season is open again. Raises ValidationError, and nothing is withdrawn, while anything
    else rests on one of these.
    """
    refuse_withdrawn(litter)
    whole = whole_of_birth(litter)
    whole.refuse_when_resting()
    how = Withdrawing(by, now, reason)
    withdraw_rows([*whole.season, *whole.pups, litter, litter.outcome], how)
    withdraw_young(whole.animals, how)
    return litter


@transaction.atomic
def bring_birth_back(litter: Litter) -> Litter:
    """Let a withdrawn birth count again with all that went with it.

    Raises ValidationError naming what has taken its place.
    """
    at = litter.withdrawn_at
    assert at is not None  # noqa: S101  (for the type checker)
    check_not_recorded(litter.dam, litter.born_on, besides=litter)
    whole = whole_of_birth(litter, at=at)
    bring_rows_back([litter.outcome, litter], at)
    bring_young_back(whole.animals, at)
    for pup in whole.pups:
        pup.litter = litter
    bring_rows_back([*whole.pups, *whole.season], at)
    return litter
