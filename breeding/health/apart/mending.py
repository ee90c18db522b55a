"""How what was said of a quarantine is put right."""

import datetime
from collections.abc import Mapping
from typing import Any

from django.utils import timezone

from breeding.health.apart.forms import QuarantineChangeForm
from breeding.health.apart.services import bring_back_quarantine, change_quarantine
from breeding.health.models import Quarantine
from breeding.program.acts.mending import Kind, Way
from breeding.program.models import Person, Program
from breeding.words.days import long_day
from breeding.words.language import tell


class QuarantineKind(Kind[Quarantine]):
    key = "quarantine"
    model = Quarantine
    related = ("animal",)

    def called(self, record: Quarantine) -> str:
        if record.since is not None:
            return tell(
                "the quarantine of {animal} since {day}",
                animal=record.animal,
                day=long_day(record.since),
            )
        assert record.ended_on is not None  # noqa: S101 - one of the two is set, by a rule
        return tell(
            "the end of the quarantine of {animal} on {day}",
            animal=record.animal,
            day=long_day(record.ended_on),
        )

    def crumb(self, record: Quarantine) -> Way:
        return Way(str(record.animal), record.animal.get_absolute_url())

    def caution(self, record: Quarantine, *, today: datetime.date) -> str:
        if record.ended_on is None:
            return ""
        return tell(
            "Withdrawn, it says no more that the quarantine ended; see who is in quarantine then."
        )

    def change_form(
        self,
        record: Quarantine,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> QuarantineChangeForm:
        return QuarantineChangeForm(sent, record=record)

    def change(
        self, record: Quarantine, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_quarantine(record, **facts, today=timezone.localdate(now))

    def return_to_count(self, record: Quarantine, *, by: Person, now: datetime.datetime) -> None:
        bring_back_quarantine(record, today=timezone.localdate(now))


KINDS = (QuarantineKind(),)
