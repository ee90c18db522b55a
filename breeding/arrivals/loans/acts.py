"""Acts on loans in both directions: lent out, taken in, back again, and the young owed for it."""

import datetime
from collections.abc import Collection, Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.away.following import Gone
from breeding.animals.models import Animal
from breeding.animals.services import change_state
from breeding.arrivals.loans.beginning import (
    begin_loans,
    check_day,
    check_not_withdrawn,
    check_terms,
)
from breeding.arrivals.models import LoanAgreement
from breeding.buyers.leaving import check_not_together
from breeding.buyers.models import Contact
from breeding.buyers.services import locked_on_record
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.housing.stays.following import said_of
from breeding.housing.stays.placing import place
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.program.problems.beside import at_field
from breeding.program.problems.doubts import DoubtError
from breeding.program.problems.several import read_of, settled
from breeding.program.services import bring_back
from breeding.words.days import long_day
from breeding.words.language import sentences, tell

OUT, IN = LoanAgreement.Direction.OUT, LoanAgreement.Direction.IN
State = Animal.State


@transaction.atomic
def lend(
    animal: Animal,
    contact: Contact,
    *,
    by: Person | None,
    today: datetime.date,
    since: datetime.date,
    sure: Collection[str] = frozenset(),
    reason: str = "",
    **terms: Any,
) -> LoanAgreement:
    """Lend an animal: it is on loan from that day, and its stay ends. One that is away already
    keeps its day. `terms` are due_back_on, terms and young_owed.

    Raises ValidationError by field.
    """
    agreement = _new(animal, contact, OUT, since, by, terms)
    return _begun(agreement, today, sure, reason)


@transaction.atomic
def take_in(
    animal: Animal,
    contact: Contact,
    *,
    by: Person | None,
    today: datetime.date,
    since: datetime.date,
    **terms: Any,
) -> LoanAgreement:
    """An animal that is here belongs to somebody else: it cannot be sold, and goes back."""
    return _begun(_new(animal, contact, IN, since, by, terms), today)


def _begun(
    agreement: LoanAgreement,
    today: datetime.date,
    sure: Collection[str] = frozenset(),
    reason: str = "",
) -> LoanAgreement:
    [judged] = begin_loans([agreement], today=today)
    return settled(judged, sure, reason)


@transaction.atomic
def end_loan(
    agreement: LoanAgreement,
    *,
    by: Person | None,
    on: datetime.date,
    today: datetime.date,
    tank: Tank | None = None,
    sure: Collection[str] = frozenset(),
    reason: str = "",
) -> LoanAgreement:
    """It is back, here or with its owner: where it stands changes with it.

    Raises ValidationError by field, and DoubtError for whom it meets that comes into a tank.
    """
    rows = LoanAgreement.objects.select_for_update(of=("self",))
    agreement = rows.select_related("animal", "contact").get(pk=agreement.pk)
    agreement.animal = animal = _locked(agreement.animal)
    _check_end(agreement, on, today)
    if agreement.direction == IN:
        check_not_together(animal)
        if animal.state in (State.HERE, State.ON_LOAN):
            _leave(animal, on, by, sure, reason)
    elif animal.state == State.ON_LOAN:
        change_state(animal, state=State.HERE, on=on, sure=sure, reason=reason)
    agreement.refresh_from_db()
    agreement.back_on = on
    _save(agreement)
    if tank is not None and agreement.direction == OUT:
        stay = move_animal(agreement.animal, tank, on=on, by=by, sure=sure, reason=reason)
        words = tell("It is in {tank}.", tank=tank)
        agreement.follows = sentences(words, said_of([stay]))
    return agreement


def _check_end(agreement: LoanAgreement, on: datetime.date, today: datetime.date) -> None:
    """Raise ValidationError where it is back already, or cannot be on this day."""
    if agreement.back_on is not None:
        raise ValidationError(
            tell(
                "{animal} has been back since {day}.",
                animal=agreement.animal.name,
                day=long_day(agreement.back_on),
            )
        )
    check_day("on", on, today)
    if on < agreement.since:
        raise ValidationError(
            {
                "on": tell(
                    "{back_on} is before {since}, when it was lent.",
                    back_on=long_day(on),
                    since=long_day(agreement.since),
                )
            }
        )


def _leave(
    animal: Animal, on: datetime.date, by: Person | None, sure: Collection[str], reason: str
) -> None:
    stays = animal.stays.filter(until__isnull=True, withdrawn_at__isnull=True)
    try:
        if stays.exists():
            place(animal, None, on=on, by=by)
        change_state(animal, state=State.LEFT, on=on, sure=sure, reason=reason)
    except DoubtError:
        raise
    except ValidationError as problem:
        raise at_field(problem, "on") from None


@transaction.atomic
def change_agreement(
    agreement: LoanAgreement, *, contact: Contact | None, young_given: int | None, **terms: Any
) -> LoanAgreement:
    """Other terms, another day it is due, or more of the young that are owed given."""
    if contact is not None and contact.pk != agreement.contact_id:
        locked_on_record(contact)
    agreement.contact = contact
    agreement.young_given = young_given or 0
    for name, value in terms.items():
        setattr(agreement, name, value)
    _save(agreement)
    return agreement


@transaction.atomic
def bring_back_agreement(agreement: LoanAgreement) -> None:
    """Let it count again. Raises ValidationError where another loan is open meanwhile."""
    with constraints.named(agreement):
        bring_back(agreement)


# --------------------------------------------------------------- what follows at the other doors


def lent_and_back(animals: Collection[int]) -> set[tuple[int, datetime.date]]:
    """Those of these of whom a loan that is over may go on when they go on loan, and that day."""
    lent = LoanAgreement.objects.filter(direction=OUT, back_on__isnull=False)
    return {(one.animal_id, one.since) for one in read_of(lent, "animal", animals)}


def follow_the_loan(animal: Animal, was_state: str, was_on: datetime.date | None) -> None:
    """After where it stands was changed at any door: what was agreed begins and ends with it."""
    is_about_a_loan = State.ON_LOAN in (was_state, animal.state)
    if not is_about_a_loan and (was_state != animal.state or was_on is None):
        return
    rows = LoanAgreement.objects.filter(animal=animal)
    lent, day = rows.filter(direction=OUT), animal.state_on
    if animal.state == State.ON_LOAN:
        if was_state == State.ON_LOAN:
            for one in lent.filter(back_on__isnull=True):
                one.since = day or one.since
                one.save()
        elif day and (last := lent.filter(since=day, back_on__isnull=False).first()):
            last.back_on = None
            last.save()
        return
    if was_state == State.ON_LOAN:
        for one in lent.filter(back_on__isnull=True):
            _end(one, day)
    else:
        for one in rows.filter(back_on=was_on):
            _end(one, day)


def end_what_is_lent(gone: Sequence[Gone]) -> dict[int, str]:
    """One that is lent by somebody and died or left is with this program no more."""
    days = {one.pk: on for one, on in gone if one.state != State.ON_LOAN}
    lent = LoanAgreement.objects.filter(direction=IN, back_on__isnull=True)
    found = {}
    for one in read_of(lent, "animal", days):
        _end(one, days[one.animal_id])
        found[one.animal_id] = tell("The loan by its owner ends with it; tell them.")
    return found


def _end(agreement: LoanAgreement, on: datetime.date | None) -> None:
    agreement.back_on = max(on or agreement.since, agreement.since)
    agreement.save()


# ------------------------------------------------------------------ what the acts have in common


def _locked(animal: Animal) -> Animal:
    locked = Animal.every.select_for_update().get(pk=animal.pk)
    check_not_withdrawn(locked)
    return locked


def _new(
    animal: Animal,
    contact: Contact,
    direction: str,
    since: datetime.date,
    by: Person | None,
    terms: dict[str, Any],
) -> LoanAgreement:
    return LoanAgreement(
        animal=animal,
        contact=contact,
        direction=direction,
        since=since,
        recorded_by=by,
        **terms,
    )


def _save(agreement: LoanAgreement) -> None:
    check_terms(agreement)
    agreement.full_clean(validate_unique=False, validate_constraints=False)
    with constraints.named(agreement):
        agreement.save()
