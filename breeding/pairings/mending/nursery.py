"""How ticks on the nursery's list are put right."""

import datetime
from collections.abc import Mapping
from typing import Any

from django.urls import reverse
from django.utils import timezone

from breeding.pairings.care.services import bring_back_tick, change_tick
from breeding.pairings.mending.forms import TickChangeForm
from breeding.pairings.mending.seen import season_page
from breeding.pairings.models import NurseryTick
from breeding.program.acts.mending import Kind, Way
from breeding.program.models import Person, Program
from breeding.words.days import long_day
from breeding.words.language import tell


class NurseryTickKind(Kind[NurseryTick]):
    key = "nursery-tick"
    model = NurseryTick
    related = ("female", "outcome", "tank")

    def called(self, record: NurseryTick) -> str:
        item = record.get_item_display()
        return tell(
            "the tick “{item}” for {female} on {day}",
            item=item,
            female=record.female,
            day=long_day(record.on),
        )

    def crumb(self, record: NurseryTick) -> Way:
        if record.outcome is not None:
            return season_page(record.female)
        female = record.female
        address = reverse("pairings:nursery", args=[female.pk])
        return Way(tell("The nursery for {female}'s pups", female=female.name), address)

    def follows(self, record: NurseryTick) -> str:
        return tell("It has to be seen to again.")

    def change_form(
        self,
        record: NurseryTick,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> TickChangeForm:
        return TickChangeForm(sent, record=record, today=today)

    def change(
        self, record: NurseryTick, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_tick(record, **facts, today=timezone.localdate(now))

    def return_to_count(self, record: NurseryTick, *, by: Person, now: datetime.datetime) -> None:
        bring_back_tick(record, today=timezone.localdate(now))

    def returns(self, record: NurseryTick) -> str:
        return tell("It counts as seen to again.")
