"""Acts on how an animal died: written down, put right, taken back with the death itself."""

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import BinaryIO

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.away.going import Standings
from breeding.animals.models import Animal, Photograph
from breeding.animals.pictures.portraits import ReadPicture
from breeding.animals.services import add_photograph
from breeding.health.illness.days import check_past
from breeding.health.models import Death
from breeding.program import services
from breeding.program.acts.together import write_together
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import (
    Judged,
    clean_of_its_own,
    written_of,
)
from breeding.words.days import long_day
from breeding.words.language import message, tell
from breeding.words.stored import stored

Date = datetime.date
NOT_DIED = stored(message("It did not die; where it stands was put right."))
AFTER_DEATH = stored(message("after its death"))


@dataclass(frozen=True)
class ToldDeath:
    """How one died, as it was typed."""

    cause: str = Death.Cause.UNKNOWN
    is_by_laboratory: bool = False
    found_where: str = ""
    ill_since: Date | None = None
    circumstances: str = ""
    findings: str = ""
    examined_by: str = ""


@transaction.atomic
def tell_death(
    animal: Animal,
    told: ToldDeath,
    *,
    today: Date,
    by: Person | None,
    photograph: BinaryIO | ReadPicture | None = None,
) -> Death:
    """Write down how an animal died. Raises ValidationError by field."""
    death = death_of(animal, told, by=by)
    death.animal = Animal.every.select_for_update(of=("self",)).get(pk=animal.pk)
    _judge(death, today)
    if photograph is not None:
        death.photograph = _picture(death, photograph, by, today)
    with constraints.named(death):
        write_together([death])
    return death


def death_of(animal: Animal, told: ToldDeath, *, by: Person | None) -> Death:
    """How one died as it was typed, not judged yet."""
    death = Death(animal=animal, recorded_by=by)
    _fill(death, told)
    return death


@transaction.atomic
def tell_deaths(
    rows: Sequence[Death], *, today: Date, died_on: Mapping[int, Date]
) -> list[Judged[Death]]:
    """Write down all that may be; no two of one animal.

    died_on: by the animal on which day it died, where its own record does not say that yet.
    """
    standings = Standings(row.animal_id for row in rows)

    def judge(row: Death) -> Iterator[Doubt]:
        row.animal = standings.animals[row.animal_id]
        if row.animal_id in died_on:
            standings.go(row.animal, state=Animal.State.DIED, on=died_on[row.animal_id])
        _judge(row, today)
        yield from ()

    judged = [standings.judging(row, judge) for row in rows]
    standings.write()
    with constraints.named():
        write_together(written_of(judged))
    return judged


def _judge(row: Death, today: Date) -> None:
    """Raise ValidationError, by field, for one that cannot be, its animal standing as it does."""
    _check(row, today)
    clean_of_its_own(row)


@transaction.atomic
def change_death(
    death: Death,
    told: ToldDeath,
    *,
    today: Date,
    by: Person | None,
    photograph: BinaryIO | ReadPicture | None = None,
    without_photograph: bool = False,
) -> Death:
    """Put it right; a picture that gives way stays among the animal's."""
    if without_photograph and photograph is None:
        death.photograph = None
    return _write(death, told, today, by, photograph)


@transaction.atomic
def bring_back_death(death: Death) -> Death:
    """It counts again, for an animal that died."""
    _check_died(death.animal)
    return services.bring_back(death)


def take_back(animal: Animal, by: Person | None, now: datetime.datetime) -> str:
    """How it died counts no more, for one that did not die; said in words."""
    death = Death.objects.filter(animal=animal).first()
    if death is None:
        return ""
    services.withdraw(death, by=by, now=now, reason=NOT_DIED)
    return tell(
        "How {animal} died ({cause}) is withdrawn with it.",
        animal=animal.name,
        cause=death.cause_words,
    )


def _write(
    death: Death,
    told: ToldDeath,
    today: Date,
    by: Person | None,
    photograph: BinaryIO | ReadPicture | None,
) -> Death:
    _fill(death, told)
    _check(death, today)
    if photograph is not None:
        death.photograph = _picture(death, photograph, by, today)
    death.full_clean(validate_constraints=False)
    with constraints.named(death):
        death.save()
    return death


def _fill(death: Death, told: ToldDeath) -> None:
    for name, value in vars(told).items():
        setattr(death, name, value.strip() if isinstance(value, str) else value)


def _check(death: Death, today: Date) -> None:
    animal = death.animal
    _check_died(animal)
    if death.is_by_laboratory and death.cause == Death.Cause.UNKNOWN:
        raise ValidationError({"cause": tell("Choose the cause that the laboratory named.")})
    since = death.ill_since
    if since is None:
        return
    check_past("ill_since", since, today)
    if animal.born_on is not None and since < animal.born_on:
        raise ValidationError(
            {
                "ill_since": tell(
                    "{animal} was born on {day}; then or later.",
                    animal=animal.name,
                    day=long_day(animal.born_on),
                )
            }
        )
    if animal.state_on is not None and since > animal.state_on:
        raise ValidationError(
            {
                "ill_since": tell(
                    "{animal} died on {day}; then or before.",
                    animal=animal.name,
                    day=long_day(animal.state_on),
                )
            }
        )


def _check_died(animal: Animal) -> None:
    if animal.is_withdrawn:
        raise ValidationError(
            tell("{animal} is withdrawn; bring it back first.", animal=animal.name)
        )
    if animal.state != Animal.State.DIED:
        raise ValidationError(
            tell(
                "{animal} is on record as “{state}”; say first that it died.",
                animal=animal.name,
                state=animal.get_state_display(),
            )
        )


def _picture(
    death: Death, photograph: BinaryIO | ReadPicture, by: Person | None, today: Date
) -> Photograph:
    taken_on = death.animal.state_on if death.animal.state_on else today
    return add_photograph(
        death.animal,
        photograph,
        by=by,
        taken_on=taken_on,
        caption=AFTER_DEATH,
        as_portrait=False,
    )
