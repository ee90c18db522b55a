"""Acts of care beside the water: the filter rinsed, the ground cleaned."""

import datetime
from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.housing.models import Tank, TankWork
from breeding.program.models import Person
from breeding.words.days import long_day
from breeding.words.language import tell

CHANGEABLE = ("tank", "kind", "on", "note")


@transaction.atomic
def record_work(
    tank: Tank,
    *,
    kind: str,
    on: datetime.date,
    today: datetime.date,
    by: Person | None,
    note: str = "",
) -> TankWork:
    """Something at a tank was seen to. Raises ValidationError by field."""
    return _keep(TankWork(tank=tank, kind=kind, on=on, note=note.strip(), recorded_by=by), today)


@transaction.atomic
def change_work(work: TankWork, facts: Mapping[str, Any], *, today: datetime.date) -> TankWork:
    """Write onto it what was done instead."""
    for name in CHANGEABLE:
        setattr(work, name, facts[name])
    work.note = work.note.strip()
    return _keep(work, today)


def _keep(work: TankWork, today: datetime.date) -> TankWork:
    if work.on > today:
        raise ValidationError(
            {"on": tell("{day} is still to come; choose today or earlier.", day=long_day(work.on))}
        )
    if work.kind == TankWork.Kind.OTHER and not work.note:
        raise ValidationError({"note": tell("Say in a few words what was done.")})
    work.full_clean()
    work.save()
    return work
