"""Acts of the planning room: a pairing is planned, waits for its day, and is planned otherwise."""

import datetime
from collections.abc import Collection, Iterable, Mapping

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals import lineage
from breeding.animals.away.gone import GONE
from breeding.animals.models import Animal
from breeding.housing.models import Tank
from breeding.pairings.allowed import check_two
from breeding.pairings.company.together import AskingOfTwo
from breeding.planning.models import PlannedPairing
from breeding.planning.queries import waiting
from breeding.planning.season.bodies import PairsInTurn, doubts_of_pair
from breeding.planning.season.readiness import Candidate, candidates
from breeding.program.models import Person, Program
from breeding.program.problems import constraints
from breeding.program.problems.doubts import Doubt, ask
from breeding.program.queries import the_program
from breeding.program.services import bring_back
from breeding.words.days import long_day
from breeding.words.language import tell


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
    sure: Collection[str] = frozenset(),
    reason: str = "",
    found: Mapping[int, Candidate] | None = None,
) -> PlannedPairing:
    """Write down that these two are to be put together; nobody is moved.

    Raises DoubtError, which `sure` and a reason answer, where one is not fit to breed by then;
    the reason is kept with the plan. found: the two as candidates, where they are read already.
    """
    _check_two_here(female, male)
    _check_to_come(not_before, today)
    _check_not_planned(female, male)
    program = the_program()
    found = candidates([female, male], program, today=today) if found is None else found
    unit = program.length_unit
    doubts = list(doubts_of_pair(found[female.pk], found[male.pk], on=not_before, unit=unit))
    ask(doubts, sure, reason)
    planned = PlannedPairing(
        female=female,
        male=male,
        not_before=not_before,
        tank=tank,
        inbreeding_expected=lineage.current().pedigree.kinship(male.pk, female.pk),
        note=note.strip(),
        reason=reason.strip() if doubts else "",
        recorded_by=by,
    )
    return _keep(planned)


def doubts_when_opened(
    female: Animal, male: Animal, on: datetime.date, program: Program
) -> Iterable[Doubt]:
    """Of age, width, condition and size; her marks and her rest are asked by the pairing itself."""
    return doubts_when_many_are({one.pk: one for one in (female, male)}, program)(female, male, on)


def doubts_when_many_are(animals: Mapping[int, Animal], program: Program) -> AskingOfTwo:
    """The same of one pair after the other."""
    return PairsInTurn(animals, program)


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
        if animal.state in GONE:
            raise ValidationError(
                tell(
                    "{animal} {state}; it cannot be used.",
                    animal=animal.name,
                    state=animal.get_state_display(),
                )
            )


def _check_to_come(not_before: datetime.date, today: datetime.date) -> None:
    if not_before < today:
        raise ValidationError(
            {
                "not_before": tell(
                    "{day} has passed; choose today or a later day.", day=long_day(not_before)
                )
            }
        )


def _check_not_planned(female: Animal, male: Animal) -> None:
    for other in waiting().filter(female=female, male=male):
        raise ValidationError(
            tell(
                "{pair} are planned already, from {day}.",
                pair=other,
                day=long_day(other.not_before),
            )
        )


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
                "not_before": tell(
                    "{pair} were planned from {day} already; choose another day.",
                    pair=planned,
                    day=long_day(planned.not_before),
                )
            }
        ) from None
    return planned
