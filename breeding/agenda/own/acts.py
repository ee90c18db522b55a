"""A reminder is set, changed, and done; what comes again asks again by itself."""

import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.agenda.models import Reminder
from breeding.agenda.own.queries import key_of, reminder_of
from breeding.program.models import Person
from breeding.words.days import long_day

YEARS_AHEAD = 10


@transaction.atomic
def set_reminder(*, by: Person | None, today: datetime.date, **facts: Any) -> Reminder:
    """Be reminded of something on a day, once or every so many days."""
    _check_to_come(facts["on"], today)
    return _keep(Reminder(**facts, recorded_by=by))


@transaction.atomic
def change_reminder(reminder: Reminder, *, today: datetime.date, **facts: Any) -> Reminder:
    """Another day, other words, about something else, or done on another day."""
    if facts["on"] != reminder.on:
        _check_to_come(facts["on"], today)
    done_on = facts["done_on"]
    if done_on is not None and done_on > today:
        raise ValidationError({"done_on": f"{long_day(done_on)} has not come yet."})
    for name, value in facts.items():
        setattr(reminder, name, value)
    return _keep(reminder)


@transaction.atomic
def mark_done(key: str, *, today: datetime.date) -> Reminder:
    """It is done, by the key of its line. Raises ValidationError when it does not ask any more.

    The day it was done is its one truth: what comes again is reckoned from it.
    """
    found = reminder_of(key)
    if found is None or found.is_withdrawn:
        raise ValidationError("This reminder was withdrawn meanwhile.")
    reminder = Reminder.objects.select_for_update().get(pk=found.pk)
    due = reminder.due_on
    if due is None or key_of(reminder, due) != key:
        said = f"It was done on {long_day(reminder.done_on)}" if reminder.done_on else ""
        raise ValidationError(f"{said or 'It was changed'} meanwhile; look at it again.")
    reminder.done_on = today
    if reminder.due_on == due:
        raise ValidationError(
            f"It is for {long_day(due)}, which is more than half its time away: done today, it "
            "would ask on that day all the same. Change its day instead."
        )
    return _keep(reminder)


def _check_to_come(on: datetime.date, today: datetime.date) -> None:
    if on < today:
        raise ValidationError({"on": f"{long_day(on)} is over; choose today or a later day."})
    if on.year > today.year + YEARS_AHEAD:
        raise ValidationError(
            {"on": f"{on.year} is more than {YEARS_AHEAD} years ahead; choose a nearer day."}
        )


def _keep(reminder: Reminder) -> Reminder:
    reminder.text = reminder.text.strip()
    reminder.full_clean()
    reminder.save()
    return reminder
