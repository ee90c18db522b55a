"""Acts on visits of a veterinarian: written down, put right."""

import datetime

from django.db import transaction

from breeding.animals.away.here import check_was_here
from breeding.animals.models import Animal
from breeding.health.illness.days import check_after, check_past
from breeding.health.models import Visit
from breeding.housing.models import Tank
from breeding.housing.stays.checks import check_in_use
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.program.services import bring_back

Date = datetime.date


@transaction.atomic
def record_visit(
    who: Animal | Tank,
    *,
    on: Date,
    today: Date,
    recorded_by: Person | None,
    by: str = "",
    found: str = "",
    look_again_on: Date | None = None,
) -> Visit:
    """A veterinarian looked at an animal or a tank. Raises ValidationError by field."""
    visit = Visit(recorded_by=recorded_by)
    if isinstance(who, Tank):
        check_in_use(who)
        visit.tank = who
    else:
        visit.animal = who
    return change_visit(visit, on=on, today=today, by=by, found=found, look_again_on=look_again_on)


@transaction.atomic
def change_visit(
    visit: Visit,
    *,
    on: Date,
    today: Date,
    by: str = "",
    found: str = "",
    look_again_on: Date | None = None,
) -> Visit:
    """Another day, veterinarian, finding or day on which to look again."""
    visit.on, visit.by, visit.found = on, by.strip(), found.strip()
    visit.look_again_on = look_again_on
    _check(visit, today)
    visit.full_clean(validate_constraints=False)
    with constraints.named(visit):
        visit.save()
    return visit


@transaction.atomic
def bring_back_visit(visit: Visit, *, today: Date) -> Visit:
    """It counts again, unless it cannot have been by what is on record now."""
    _check(visit, today)
    return bring_back(visit)


def _check(visit: Visit, today: Date) -> None:
    check_past("on", visit.on, today)
    if visit.animal is not None:
        check_was_here(visit.animal, visit.on, "on")
    check_after("look_again_on", visit.look_again_on, visit.on)
