"""How shared water is changed, withdrawn and brought back."""

import datetime
from collections.abc import Mapping
from typing import Any

from django.urls import reverse

from breeding.housing.forms import SystemForm
from breeding.housing.models import WaterSystem
from breeding.housing.water.systems import change_system
from breeding.program.acts.mending import Kind, Way
from breeding.program.acts.named import bring_back_by_name, withdraw_unless_named
from breeding.program.models import Person, Program
from breeding.words.language import tell


class SystemKind(Kind[WaterSystem]):
    key = "shared-water"
    model = WaterSystem

    def called(self, record: WaterSystem) -> str:
        return tell("the shared water {water}", water=record)

    def crumb(self, record: WaterSystem) -> Way:
        return Way(tell("Shared waters"), record.get_absolute_url())

    def instead(self, record: WaterSystem) -> Way | None:
        address = reverse("housing:join_system", args=[record.pk])
        return Way(
            tell("join it to the other"), address, before=tell("If it was written down twice,")
        )

    def act(
        self, record: WaterSystem, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        withdraw_unless_named(record, by=by, now=now, reason=facts["reason"])

    def return_to_count(self, record: WaterSystem, *, by: Person, now: datetime.datetime) -> None:
        bring_back_by_name(record)

    def change_form(
        self,
        record: WaterSystem,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> Any:
        return SystemForm(sent, instance=record)

    def change(
        self, record: WaterSystem, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_system(record, **facts)
