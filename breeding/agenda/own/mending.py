"""How a reminder is changed, withdrawn and brought back."""

import datetime
from collections.abc import Mapping
from typing import Any

from django.urls import reverse
from django.utils import timezone

from breeding.agenda.models import Reminder
from breeding.agenda.own.acts import change_reminder
from breeding.agenda.own.due import rhythm_words
from breeding.agenda.own.forms import ReminderChangeForm
from breeding.agenda.own.queries import caution_of
from breeding.program.acts.mending import Kind, Way
from breeding.program.models import Person, Program
from breeding.words.days import plain_day
from breeding.words.language import tell


class ReminderKind(Kind[Reminder]):
    key = "reminder"
    model = Reminder
    related = ("animal", "tank", "contact", "recorded_by")

    def called(self, record: Reminder) -> str:
        return tell("the reminder “{text}”", text=record.text)

    def beside(self, record: Reminder) -> str:
        return tell(
            "for {day}, {often}", day=plain_day(record.on), often=rhythm_words(record.every_days)
        )

    def lede(self, record: Reminder, *, program: Program, today: datetime.date) -> str:
        return tell("It stays readable with the reason, and no longer asks.")

    def crumb(self, record: Reminder) -> Way:
        return Way(tell("Reminders set"), reverse("agenda:own"))

    def follows(self, record: Reminder) -> str:
        return tell("The day no longer asks.")

    def returns(self, record: Reminder) -> str:
        due = record.due_on
        return tell("It asks again on {day}.", day=plain_day(due)) if due else tell("It is done.")

    def beside_change(self, record: Reminder) -> str:
        return caution_of(record)

    def change_form(
        self,
        record: Reminder,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> ReminderChangeForm:
        return ReminderChangeForm(sent, record=record)

    def change(
        self, record: Reminder, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_reminder(record, **facts, today=timezone.localdate(now))

    def changed(self, record: Reminder) -> str:
        return self.returns(record)


KINDS = (ReminderKind(),)
