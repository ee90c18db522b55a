"""How water tests are put right."""

import datetime
from collections.abc import Mapping
from typing import Any

from django.urls import reverse

from breeding.housing.models import WaterTest
from breeding.housing.water.forms import WaterTestChangeForm
from breeding.housing.water.services import change_water_test
from breeding.program.acts.mending import Kind, Way, clock_words
from breeding.program.models import Person, Program
from breeding.words.language import tell


class WaterTestKind(Kind[WaterTest]):
    key = "water-test"
    model = WaterTest
    related = ("tank",)

    def called(self, record: WaterTest) -> str:
        return tell(
            "the water test of {tank} on {moment}",
            tank=record.tank,
            moment=clock_words(record.tested_at),
        )

    def heading(self, record: WaterTest) -> str:
        return tell("Withdraw the water test")

    def beside(self, record: WaterTest) -> str:
        return tell("of {tank}, {moment}", tank=record.tank, moment=clock_words(record.tested_at))

    def crumb(self, record: WaterTest) -> Way:
        return Way(tell("The test"), reverse("housing:water", args=[record.pk]))

    def leads_to(self, record: WaterTest) -> str:
        if record.is_withdrawn:
            return str(record.tank.get_absolute_url())
        return reverse("housing:water", args=[record.pk])

    def beside_change(self, record: WaterTest) -> str:
        return tell("Leave empty what was not tested; 0 is “not detectable”.")

    def change_form(
        self,
        record: WaterTest,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> WaterTestChangeForm:
        return WaterTestChangeForm(sent, record=record, program=program)

    def change(
        self, record: WaterTest, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_water_test(record, facts, now=now)
