"""Loans that begin and go on, in both directions, one or many: judged each, then written."""

import datetime
from collections.abc import Iterable, Iterator, Sequence

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.away.following import GoingOfMany
from breeding.animals.away.going import Standings
from breeding.animals.models import Animal
from breeding.animals.typed.fields import check_past_day
from breeding.arrivals.models import LoanAgreement
from breeding.buyers.leaving import refuse_together
from breeding.buyers.models import STANDING, Reservation
from breeding.buyers.services import check_on_record, locked_contacts
from breeding.pairings.company.doors import open_pairings
from breeding.program.acts.together import write_together
from breeding.program.problems import constraints
from breeding.program.problems.beside import at_field
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import Judged, clean_of_its_own, read_of, written_of
from breeding.words.days import long_day
from breeding.words.language import tell

Date = datetime.date
OUT = LoanAgreement.Direction.OUT
State = Animal.State


@transaction.atomic
def begin_loans(rows: Sequence[LoanAgreement], *, today: Date) -> list[Judged[LoanAgreement]]:
    """Write down all that may be, no two of one animal, each beside those before it.

    One that is lent is on loan from that day, and its stay ends; one that is away already keeps its
    day. One that is here and belongs to somebody else cannot be sold, and goes back.
    """
    beginning = _Beginning(rows, today)
    judged = beginning.judged()
    beginning.write(written_of(judged))
    return judged


class _Beginning:
    """What is on record of the animals of these rows; nobody else changes them or the contacts."""

    def __init__(self, rows: Sequence[LoanAgreement], today: Date) -> None:
        self._rows, self._today = rows, today
        keys = [row.animal_id for row in rows]
        self._standings = Standings(keys)
        self._contacts = locked_contacts(row.contact_id for row in rows)
        self._pairings = open_pairings(keys)
        kept = Reservation.objects.filter(STANDING).select_related("contact", "animal")
        self._reservations: dict[int, Reservation] = {}
        for one in read_of(kept, "animal", keys):
            self._reservations.setdefault(one.animal_id, one)
        going_on = LoanAgreement.objects.filter(back_on__isnull=True)
        self._others = {one.animal_id: one for one in read_of(going_on, "animal", keys)}
        out = [row.animal_id for row in rows if row.direction == OUT]
        self._going = GoingOfMany({key: self._standings.animals[key] for key in out})

    def judged(self) -> list[Judged[LoanAgreement]]:
        found = []
        for row in self._rows:
            row.animal = self._standings.animals[row.animal_id]
            goes = row.direction == OUT and row.animal.state == State.HERE
            one = self._standings.judging(row, self._lent if row.direction == OUT else self._taken)
            if goes and one.may_be:
                self._going.goes(row.animal, row.since)
            found.append(one)
        return found

    def write(self, rows: Sequence[LoanAgreement]) -> None:
        self._standings.write()
        for row in rows:
            row.follows = row.animal.follows
        with constraints.named(rows[0] if len(rows) == 1 else None):
            write_together(rows)

    def _lent(self, row: LoanAgreement) -> Iterator[Doubt]:
        animal, since = row.animal, row.since
        self._check(row)
        if animal.state in (State.LEFT, State.DIED):
            raise ValidationError(
                tell(
                    "{animal} {state}; it cannot be lent.",
                    animal=animal.name,
                    state=animal.get_state_display(),
                )
            )
        if animal.state == State.HERE:
            refuse_together(animal, self._pairings)
            if kept := self._reservations.get(animal.pk):
                raise ValidationError(
                    {
                        "contact": tell(
                            "{animal} is reserved for {contact}; let that go first.",
                            animal=animal.name,
                            contact=kept.contact,
                        )
                    }
                )
        self._refuse_another(animal)
        if animal.state == State.HERE:
            yield from self._going.asked(animal, since)
            self._go(animal, since)
        elif animal.state_on is not None:
            row.since = animal.state_on  # when it went is on record
        check_terms(row)
        clean_of_its_own(row)

    def _go(self, animal: Animal, since: Date) -> None:
        try:
            self._standings.go(animal, state=State.ON_LOAN, on=since)
        except ValidationError as problem:
            raise at_field(problem, "since") from None

    def _taken(self, row: LoanAgreement) -> Iterable[Doubt]:
        animal = row.animal
        self._check(row)
        if animal.state != State.HERE:
            raise ValidationError(
                tell(
                    "{animal} {state}; only one that is here can be lent to you.",
                    animal=animal.name,
                    state=animal.get_state_display(),
                )
            )
        if kept := self._reservations.get(animal.pk):
            raise ValidationError(
                tell(
                    "{animal} is reserved for {contact}; what belongs to somebody else cannot be.",
                    animal=animal.name,
                    contact=kept.contact,
                )
            )
        self._refuse_another(animal)
        check_terms(row)
        clean_of_its_own(row)
        return ()

    def _check(self, row: LoanAgreement) -> None:
        check_not_withdrawn(row.animal)
        if row.contact_id is not None:
            check_on_record(self._contacts[row.contact_id])
        check_day("since", row.since, self._today)

    def _refuse_another(self, animal: Animal) -> None:
        if (other := self._others.get(animal.pk)) is not None:
            raise ValidationError(
                tell(
                    "{animal} is {direction} since {day}; end that loan first, or change it.",
                    animal=animal.name,
                    direction=other.get_direction_display(),
                    day=long_day(other.since),
                )
            )


# ------------------------------------------------------------------- what other acts on loans check


def check_not_withdrawn(animal: Animal) -> None:
    if animal.is_withdrawn:
        raise ValidationError(
            tell("{animal} is withdrawn; bring it back first.", animal=animal.name)
        )


def check_day(field: str, on: Date, today: Date) -> None:
    """Raise ValidationError, at the field, for a day to come, or too long ago."""
    try:
        check_past_day(on, today)
    except ValidationError as problem:
        raise at_field(problem, field) from None


def check_terms(agreement: LoanAgreement) -> None:
    """Raise ValidationError for one that is due back before it began."""
    if agreement.due_back_on is not None and agreement.due_back_on < agreement.since:
        raise ValidationError(
            {
                "due_back_on": tell(
                    "{back_on} is before {since}, when it was lent.",
                    back_on=long_day(agreement.due_back_on),
                    since=long_day(agreement.since),
                )
            }
        )
    agreement.terms = agreement.terms.strip()
