"""A loan that is over, written down late: nothing of where the animal stands now changes."""

import datetime
from collections.abc import Collection, Iterator
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from breeding.animals.away.here import check_was_here
from breeding.animals.away.loans import keep_days_away
from breeding.animals.fields import check_past_day
from breeding.animals.models import Animal
from breeding.arrivals.models import LoanAgreement
from breeding.buyers.models import Contact
from breeding.buyers.services import locked_on_record
from breeding.housing.models import Stay
from breeding.program.models import Person
from breeding.program.problems import constraints
from breeding.program.problems.beside import at_field
from breeding.program.problems.doubts import Doubt, ask
from breeding.words.days import long_day
from breeding.words.language import tell

OUT, IN = LoanAgreement.Direction.OUT, LoanAgreement.Direction.IN


@transaction.atomic
def record_earlier_loan(
    animal: Animal,
    contact: Contact,
    *,
    direction: str,
    since: datetime.date,
    back_on: datetime.date,
    by: Person | None,
    today: datetime.date,
    sure: Collection[str] = frozenset(),
    **terms: Any,
) -> LoanAgreement:
    """Lent from a day to a day, in either direction; `terms` as for a loan that begins now.

    Raises ValidationError, by field, for days that cannot be or that another loan of it takes, and
    DoubtError where its stays or its state say otherwise.
    """
    animal = Animal.every.select_for_update(of=("self",)).get(pk=animal.pk)
    locked_on_record(contact)
    _check_days(animal, since, back_on, today)
    _refuse_overlapping(animal, since, back_on)
    ask([*_doubts(animal, direction, since, back_on)], sure)
    agreement = LoanAgreement(
        animal=animal,
        contact=contact,
        direction=direction,
        since=since,
        back_on=back_on,
        recorded_by=by,
        **terms,
    )
    agreement.terms = agreement.terms.strip()
    agreement.full_clean(validate_unique=False, validate_constraints=False)
    with constraints.named(agreement):
        agreement.save()
    if direction == OUT:
        keep_days_away(animal, since, back_on)
    return agreement


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


def _refuse_overlapping(animal: Animal, since: datetime.date, back_on: datetime.date) -> None:
    """A day on which one ends and the next begins may be the same."""
    reaches = Q(back_on__isnull=True) | Q(back_on__gt=since)
    other = LoanAgreement.objects.filter(reaches, animal=animal, since__lt=back_on).first()
    if other is not None:
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


def _doubts(
    animal: Animal, direction: str, since: datetime.date, back_on: datetime.date
) -> Iterator[Doubt]:
    if direction == OUT:
        reaches = Q(until__isnull=True) | Q(until__gt=since)
        stays = Stay.objects.filter(reaches, animal=animal, since__lt=back_on)
        if (stay := stays.select_related("tank").first()) is not None:
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
