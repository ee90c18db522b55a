"""A reminder is set, changed, and done; what comes again asks again by itself."""

import datetime
from collections.abc import Iterator, Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.agenda.models import Reminder
from breeding.agenda.own.queries import ABOUT, key_of, reminder_of
from breeding.program.acts.together import write_together
from breeding.program.models import Person
from breeding.program.problems.doubts import Doubt
from breeding.program.problems.several import (
    Judged,
    clean_of_its_own,
    judging,
    settled,
    written_of,
)
from breeding.words.days import long_day
from breeding.words.language import tell

YEARS_AHEAD = 10


@transaction.atomic
def set_reminder(*, by: Person | None, today: datetime.date, **facts: Any) -> Reminder:
    """Be reminded of something on a day, once or every so many days."""
    reminder = Reminder(**facts, recorded_by=by)
    [judged] = _judged([reminder], today)
    write_together([settled(judged, ())])
    return reminder


@transaction.atomic
def set_reminders(rows: Sequence[Reminder], *, today: datetime.date) -> list[Judged[Reminder]]:
    """Write down all that may be."""
    judged = _judged(rows, today)
    write_together(written_of(judged))
    return judged


def _judged(rows: Sequence[Reminder], today: datetime.date) -> list[Judged[Reminder]]:
    def judge(row: Reminder) -> Iterator[Doubt]:
        _check_to_come(row.on, today)
        row.text = row.text.strip()
        clean_of_its_own(row)
        if sum(getattr(row, f"{one}_id") is not None for one in ABOUT) > 1:
            row.validate_constraints()
        yield from ()

    return [judging(row, judge) for row in rows]


@transaction.atomic
def change_reminder(reminder: Reminder, *, today: datetime.date, **facts: Any) -> Reminder:
    """Another day, other words, about something else, or done on another day."""
    if facts["on"] != reminder.on:
        _check_to_come(facts["on"], today)
    done_on = facts["done_on"]
    if done_on is not None and done_on > today:
        raise ValidationError({"done_on": tell("{day} has not come yet.", day=long_day(done_on))})
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
        raise ValidationError(tell("This reminder was withdrawn meanwhile."))
    reminder = Reminder.objects.select_for_update().get(pk=found.pk)
    due = reminder.due_on
    if due is None or key_of(reminder, due) != key:
        if reminder.done_on is None:
            raise ValidationError(tell("It was changed meanwhile; look at it again."))
        raise ValidationError(
            tell(
                "It was done on {day} meanwhile; look at it again.",
                day=long_day(reminder.done_on),
            )
        )
    reminder.done_on = today
    if reminder.due_on == due:
        raise ValidationError(
            tell(
                "It is for {day}, which is more than half its time away: done today, it would "
                "ask on that day all the same. Change its day instead.",
                day=long_day(due),
            )
        )
    return _keep(reminder)


def _check_to_come(on: datetime.date, today: datetime.date) -> None:
    if on < today:
        raise ValidationError(
            {"on": tell("{day} is past; choose today or a later day.", day=long_day(on))}
        )
    if on.year > today.year + YEARS_AHEAD:
        raise ValidationError(
            {
                "on": tell(
                    "{year} is more than {number} years ahead; choose an earlier day.",
                    year=on.year,
                    number=YEARS_AHEAD,
                )
            }
        )


def _keep(reminder: Reminder) -> Reminder:
    reminder.text = reminder.text.strip()
    reminder.full_clean()
    reminder.save()
    return reminder
