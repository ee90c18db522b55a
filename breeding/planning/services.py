"""Acts of the planning room: a pairing is planned, and waits for its day."""

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
    check_two(female, male)
    for animal in (female, male):
        if animal.state in (Animal.State.LEFT, Animal.State.DIED):
            raise ValidationError(f"{animal.name} {animal.get_state_display()}; it cannot be used.")
    if not_before < today:
        raise ValidationError(
            {"not_before": f"{long_day(not_before)} has passed; choose today or a later day."}
        )
    for other in waiting():
        if (other.female_id, other.male_id) == (female.pk, male.pk):
            raise ValidationError(
                f"{other} are planned already, from {long_day(other.not_before)}."
            )
    planned = PlannedPairing(
        female=female,
        male=male,
        not_before=not_before,
        tank=tank,
        inbreeding_expected=lineage.current().pedigree.kinship(male.pk, female.pk),
        note=note.strip(),
        recorded_by=by,
    )
    planned.full_clean(validate_constraints=False)
    try:
        with constraints.named(planned):
            planned.save()
    except ValidationError as problem:
        if not constraints.names(problem, "planned_pairing_once"):
            raise  # else fulfilled since, or planned by somebody else at this moment
        raise ValidationError(
            {
                "not_before": f"{planned} were planned from {long_day(not_before)} already; choose "
                "another day."
            }
        ) from None
    return planned
