"""How a planned pairing is changed, given up and planned again."""

import datetime
from collections.abc import Mapping
from typing import Any

from django.urls import reverse
from django.utils import timezone

from breeding.planning import services
from breeding.planning.forms import PlanChangeForm
from breeding.planning.models import PlannedPairing
from breeding.program.acts.mending import Kind, Way
from breeding.program.models import Person, Program
from breeding.words.days import long_day
from breeding.words.language import message, tell


class PlannedPairingKind(Kind[PlannedPairing]):
    key = "planned-pairing"
    model = PlannedPairing
    related = ("female", "male")
    button = message("Give it up")

    def called(self, record: PlannedPairing) -> str:
        return tell("the plan for {pair}", pair=record)

    def heading(self, record: PlannedPairing) -> str:
        return tell("Give up {pair}", pair=record)

    def lede(self, record: PlannedPairing, *, program: Program, today: datetime.date) -> str:
        return tell("The plan stays readable with the reason.")

    def crumb(self, record: PlannedPairing) -> Way:
        return Way(tell("Planned pairings"), reverse("planning:waiting"))

    def follows(self, record: PlannedPairing) -> str:
        return tell("{pair} are no longer planned.", pair=record)

    def change_form(
        self,
        record: PlannedPairing,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> PlanChangeForm:
        return PlanChangeForm(sent, record=record)

    def change(
        self, record: PlannedPairing, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        services.change_plan(record, **facts, today=timezone.localdate(now))

    def return_to_count(
        self, record: PlannedPairing, *, by: Person, now: datetime.datetime
    ) -> None:
        services.plan_again(record)

    def returns(self, record: PlannedPairing) -> str:
        return tell(
            "{pair} are planned from {day} on.", pair=record, day=long_day(record.not_before)
        )


KINDS = (PlannedPairingKind(),)
