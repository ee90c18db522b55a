"""Answers to lines of the day."""

import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.agenda.models import Answer
from breeding.program.models import Person


@transaction.atomic
def answer_line(
    key: str,
    *,
    by: Person | None,
    today: datetime.date,
    put_off_until: datetime.date | None = None,
    note: str = "",
) -> Answer:
    """Mark a line done, or put it off until a later day; earlier answers stay on record."""
    if put_off_until is not None and put_off_until <= today:
        raise ValidationError(
            {"put_off_until": f"{put_off_until} is not later than today; choose a day to come."}
        )
    answer = Answer(key=key, put_off_until=put_off_until, note=note.strip(), recorded_by=by)
    answer.full_clean()
    answer.save()
    return answer
