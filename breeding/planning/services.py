"""Acts of the planning room: a pairing is planned, waits for its day, and is planned otherwise."""

import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.housing.models import Tank
from breeding.pairings.services import check_two
from breeding.planning.models import PlannedPairing
from breeding.planning.queries import waiting
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.program.services import bring_back
from breeding.words.days import long_day


@transaction.atomic
def plan_pairing(
    *,
    female: Animal,
    male: Animal,
    not_before: datetime.date,
    by: Person | None,
    today: datetime.date,
    tank: Tank | None = None,
    note: str = "",
) -> PlannedPairing:
    """Write down that these two are to be put together; nobody is moved."""
    _check_two_here(female, male)
    _check_to_come(not_before, today)
    _check_not_planned(female, male)
    planned = PlannedPairing(
        female=female,
        male=male,
        not_before=not_before,
        tank=tank,
        inbreeding_expected=lineage.current().pedigree.kinship(male.pk, female.pk),
        note=note.strip(),
        recorded_by=by,
    )
    return _keep(planned)


@transaction.atomic
def change_plan(
    planned: PlannedPairing,
    *,
    not_before: datetime.date,
    today: datetime.date,
    tank: Tank | None = None,
    note: str = "",
) -> PlannedPairing:
    """Another day from which they can be put together, another tank or note."""
    if not_before != planned.not_before:
        _check_to_come(not_before, today)
    planned.not_before, planned.tank, planned.note = not_before, tank, note.strip()
    return _keep(planned)


@transaction.atomic
def plan_again(planned: PlannedPairing) -> PlannedPairing:
    """A plan that was given up waits again, unless the two are planned anew or one is gone."""
    _check_two_here(planned.female, planned.male)
    _check_not_planned(planned.female, planned.male)
    return bring_back(planned)


def _check_two_here(female: Animal, male: Animal) -> None:
    check_two(female, male)
    for animal in (female, male):
        if animal.state in (Animal.State.LEFT, Animal.State.DIED):
            raise ValidationError(f"{animal.name} {animal.get_state_display()}; it cannot be used.")


def _check_to_come(not_before: datetime.date, today: datetime.date) -> None:
    if not_before < today:
        raise ValidationError(
            {"not_before": f"{long_day(not_before)} has passed; choose today or a later day."}
        )


def _check_not_planned(female: Animal, male: Animal) -> None:
    for other in waiting().filter(female=female, male=male):
        raise ValidationError(f"{other} are planned already, from {long_day(other.not_before)}.")


def _keep(planned: PlannedPairing) -> PlannedPairing:
    planned.full_clean(validate_constraints=False)
    try:
        with constraints.named(planned):
            planned.save()
    except ValidationError as problem:
        if not constraints.names(problem, "planned_pairing_once"):
            raise  # else fulfilled since, or planned by somebody else at this moment
        raise ValidationError(
            {
                "not_before": f"{planned} were planned from {long_day(planned.not_before)} "
                "already; choose another day."
            }
        ) from None
    return planned
