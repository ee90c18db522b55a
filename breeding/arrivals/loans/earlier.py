"""A loan that is over, written down late: nothing of where the animal stands now changes."""

import datetime
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.away.here import check_was_here
from breeding.animals.away.loans import keep_days_away
from breeding.animals.models import Animal
from breeding.animals.typed.fields import check_past_day
from breeding.arrivals.models import LoanAgreement
from breeding.buyers.services import check_on_record, locked_contacts
from breeding.housing.models import Stay
from breeding.program.acts.together import write_together
from breeding.program.problems import constraints
from breeding.program.problems.beside import at_field
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import (
    Judged,
    clean_of_its_own,
    judging_in_turn,
    read_of,
    written_of,
)
from breeding.words.days import long_day
from breeding.words.language import tell

OUT, IN = LoanAgreement.Direction.OUT, LoanAgreement.Direction.IN


@transaction.atomic
def record_earlier_loans(
    rows: Sequence[LoanAgreement], *, today: datetime.date
) -> list[Judged[LoanAgreement]]:
    """Write down all that may be: with the day on which it was back each."""
    judged = judge_earlier_loans(rows, today)
    _write(written_of(judged))
    return judged


def _write(rows: Sequence[LoanAgreement]) -> None:
    with constraints.named(rows[0] if len(rows) == 1 else None):
        write_together(rows)
    keep_days_away(
        (row.animal, row.since, row.back_on)
        for row in rows
        if row.direction == OUT and row.back_on is not None
    )


def judge_earlier_loans(
    rows: Sequence[LoanAgreement], today: datetime.date
) -> list[Judged[LoanAgreement]]:
    """Each beside the loans and stays of its animal and the rows before it.

    Nobody else changes their animals and contacts meanwhile.
    """
    locked, keys = Animal.every.select_for_update(of=("self",)), [row.animal_id for row in rows]
    animals = {one.pk: one for one in read_of(locked, "pk", keys)}
    contacts = locked_contacts(row.contact_id for row in rows)
    known: dict[int, list[LoanAgreement]] = defaultdict(list)
    for other in read_of(LoanAgreement.objects.order_by("pk"), "animal", keys):
        known[other.animal_id].append(other)
    stays: dict[int, list[Stay]] = defaultdict(list)
    for stay in read_of(Stay.objects.select_related("tank"), "animal", keys):
        stays[stay.animal_id].append(stay)

    def judge(row: LoanAgreement) -> Iterator[Doubt]:
        row.animal, row.terms = animals[row.animal_id], row.terms.strip()
        if row.contact_id is not None:
            check_on_record(contacts[row.contact_id])
        back_on = row.back_on or today
        _check_days(row.animal, row.since, back_on, today)
        _refuse_overlapping(row.animal, row.since, back_on, known[row.animal_id])
        yield from _doubts(row, back_on, stays[row.animal_id])
        clean_of_its_own(row)
        if row.due_back_on is not None and row.due_back_on < row.since:
            row.validate_constraints()

    return judging_in_turn(rows, judge, lambda row: known[row.animal_id].append(row))


def _check_days(
    animal: Animal, since: datetime.date, back_on: datetime.date, today: datetime.date
) -> None:
    for field, on in (("since", since), ("back_on", back_on)):
        try:
            check_past_day(on, today)
        except ValidationError as problem:
            raise at_field(problem, field) from None
        if animal.state != Animal.State.ON_LOAN:
            check_was_here(animal, on, field)
    if back_on < since:
        raise ValidationError(
            {
                "back_on": tell(
                    "{back_on} is before {since}, when it was lent.",
                    back_on=long_day(back_on),
                    since=long_day(since),
                )
            }
        )


def _refuse_overlapping(
    animal: Animal,
    since: datetime.date,
    back_on: datetime.date,
    others: Iterable[LoanAgreement],
) -> None:
    """A day on which one ends and the next begins may be the same. Of several the last is named."""
    reaching = [
        one
        for one in others
        if one.since < back_on and (one.back_on is None or one.back_on > since)
    ]
    if reaching:
        other = max(reversed(reaching), key=lambda one: one.since)
        known = {
            "animal": animal.name,
            "direction": other.get_direction_display(),
            "since": long_day(other.since),
        }
        words = (
            tell(
                "{animal} is {direction} from {since} to {until}, on record already; the two "
                "cannot both be.",
                until=long_day(other.back_on),
                **known,
            )
            if other.back_on
            else tell(
                "{animal} is {direction} from {since}, and not back, on record already; the two "
                "cannot both be.",
                **known,
            )
        )
        raise ValidationError({"since": words})


def _doubts(row: LoanAgreement, back_on: datetime.date, stays: Iterable[Stay]) -> Iterator[Doubt]:
    """stays: of its animal, in their order."""
    animal, since = row.animal, row.since
    if row.direction == OUT:
        meanwhile = (
            one for one in stays if one.since < back_on and (one.until is None or one.until > since)
        )
        if (stay := next(meanwhile, None)) is not None:
            yield Doubt(
                tell(
                    "{animal} was in {place} since {day} by its stays, and would have been lent "
                    "from {lent_on} to {back_on} meanwhile.",
                    animal=animal.name,
                    place=stay.place,
                    day=long_day(stay.since),
                    lent_on=long_day(since),
                    back_on=long_day(back_on),
                ),
                "since",
            )
    elif animal.state == Animal.State.HERE:
        yield Doubt(
            tell(
                "{animal} is here by its own record, and would have gone back to its owner on "
                "{day}.",
                animal=animal.name,
                day=long_day(back_on),
            ),
            "back_on",
        )
