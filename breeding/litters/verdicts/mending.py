"""How what was decided of young ones is changed, withdrawn and brought back."""

import datetime
from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils import timezone

from breeding.litters.models import Verdict
from breeding.litters.verdicts.deciding import bring_verdict_back, change_verdict, decided
from breeding.litters.verdicts.forms import VerdictChangeForm
from breeding.program.acts.mending import Kind, Way
from breeding.program.models import Person, Program
from breeding.words.days import plain_day
from breeding.words.language import tell


class VerdictKind(Kind[Verdict]):
    key = "verdict"
    model = Verdict
    related = ("animal",)

    def called(self, record: Verdict) -> str:
        return tell(
            "what was decided of {animal} on {day}",
            animal=record.animal.name,
            day=plain_day(record.on),
        )

    def crumb(self, record: Verdict) -> Way:
        return Way(record.animal.full_name, record.animal.get_absolute_url())

    def beside(self, record: Verdict) -> str:
        return record.get_decision_display()

    def follows(self, record: Verdict) -> str:
        return tell(
            "For {animal} it now says: {decided}.",
            animal=record.animal.name,
            decided=decided(record.animal).words,
        )

    def returns(self, record: Verdict) -> str:
        return self.follows(record)

    def change_form(
        self,
        record: Verdict,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> forms.Form:
        return VerdictChangeForm(sent, record=record, today=today)

    def change(
        self, record: Verdict, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_verdict(record, **facts, today=timezone.localdate(now))

    def changed(self, record: Verdict) -> str:
        return self.follows(record)

    def return_to_count(self, record: Verdict, *, by: Person, now: datetime.datetime) -> None:
        bring_verdict_back(record)
