"""How water changes, care and source waters are put right."""

import datetime
from collections.abc import Mapping
from typing import Any

from django.urls import reverse
from django.utils import timezone

from breeding.housing.models import TankWork, WaterChange, WaterSource
from breeding.housing.work.care import change_work
from breeding.housing.work.changes import change_change
from breeding.housing.work.forms import SourceForm, WaterChangeChangeForm, WorkChangeForm
from breeding.housing.work.sources import change_source
from breeding.program.acts.mending import Kind, Way, clock_words
from breeding.program.acts.named import bring_back_by_name, withdraw_unless_named
from breeding.program.models import Person, Program
from breeding.words.days import plain_day
from breeding.words.language import tell


class WaterChangeKind(Kind[WaterChange]):
    key = "water-change"
    model = WaterChange
    related = ("tank", "source")

    def called(self, record: WaterChange) -> str:
        return tell(
            "the water change of {tank} on {moment}",
            tank=record.tank,
            moment=clock_words(record.changed_at),
        )

    def crumb(self, record: WaterChange) -> Way:
        return Way(str(record.tank), record.tank.get_absolute_url())

    def beside_change(self, record: WaterChange) -> str:
        return tell("Percent of the tank or litres, not both; leave both empty if nobody knows.")

    def change_form(
        self,
        record: WaterChange,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> WaterChangeChangeForm:
        return WaterChangeChangeForm(sent, record=record, program=program)

    def change(
        self, record: WaterChange, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_change(record, facts, now=now)


class TankWorkKind(Kind[TankWork]):
    key = "tank-work"
    model = TankWork
    related = ("tank",)

    def called(self, record: TankWork) -> str:
        return tell(
            "the care “{what}” of {tank} on {day}",
            what=record.get_kind_display(),
            tank=record.tank,
            day=plain_day(record.on),
        )

    def crumb(self, record: TankWork) -> Way:
        return Way(str(record.tank), record.tank.get_absolute_url())

    def change_form(
        self,
        record: TankWork,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> WorkChangeForm:
        return WorkChangeForm(sent, record=record, today=today)

    def change(
        self, record: TankWork, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_work(record, facts, today=timezone.localdate(now))


class SourceKind(Kind[WaterSource]):
    key = "source-water"
    model = WaterSource

    def called(self, record: WaterSource) -> str:
        return tell("the source water {water}", water=record)

    def crumb(self, record: WaterSource) -> Way:
        return Way(tell("Source waters"), record.get_absolute_url())

    def instead(self, record: WaterSource) -> Way | None:
        address = reverse("housing:join_source", args=[record.pk])
        return Way(
            tell("join it to the other"), address, before=tell("If it was written down twice,")
        )

    def act(
        self, record: WaterSource, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        withdraw_unless_named(record, by=by, now=now, reason=facts["reason"])

    def return_to_count(self, record: WaterSource, *, by: Person, now: datetime.datetime) -> None:
        bring_back_by_name(record)

    def change_form(
        self,
        record: WaterSource,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> Any:
        return SourceForm(sent, instance=record, program=program, today=today)

    def change(
        self, record: WaterSource, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_source(record, today=timezone.localdate(now), **facts)
