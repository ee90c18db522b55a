"""How stays, looks and water tests are withdrawn."""

import datetime
from collections.abc import Mapping
from typing import Any

from django import forms
from django.urls import reverse

from breeding.housing import corrections, queries
from breeding.housing.models import Look, Stay, WaterTest
from breeding.housing.stay_forms import StayWithdrawForm
from breeding.program.acts.mending import Kind, Way, clock_words
from breeding.program.models import Person, Program
from breeding.words.days import plain_day


class StayKind(Kind[Stay]):
    key = "stay"
    model = Stay
    related = ("animal", "tank")
    what_was_done = "Withdrawn or corrected"  # which of the two, its reason says

    def called(self, record: Stay) -> str:
        return f"the stay of {record.animal} in {record.place} since {plain_day(record.since)}"

    def heading(self, record: Stay) -> str:
        return "It never was there"

    def beside(self, record: Stay) -> str:
        until = plain_day(record.until) if record.until else "now"
        return f"{record.animal.name} in {record.place}, {plain_day(record.since)} to {until}"

    def lede(self, record: Stay, *, program: Program, today: datetime.date) -> str:
        return (
            "The stay stays readable with the reason, and counts no more: nobody was in company "
            "through it."
        )

    def crumb(self, record: Stay) -> Way:
        address = reverse("housing:stays", args=[record.animal_id])
        return Way(f"Where {record.animal.name} was", address)

    def follows(self, record: Stay) -> str:
        return "It stays readable below."

    def form(self, record: Stay, sent: Mapping[str, Any] | None) -> forms.Form:
        others = queries.stays_of([record.animal])[record.animal_id]
        previous = None if record.is_withdrawn else corrections.previous_of(record, others)
        return StayWithdrawForm(sent, previous=previous)

    def act(
        self, record: Stay, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        corrections.withdraw_stay(
            record,
            reason=facts["reason"],
            back_to_previous=facts.get("back_to_previous", False),
            by=by,
            now=now,
        )


class WaterTestKind(Kind[WaterTest]):
    key = "water-test"
    model = WaterTest
    related = ("tank",)

    def called(self, record: WaterTest) -> str:
        return f"the water test of {record.tank} on {clock_words(record.tested_at)}"

    def heading(self, record: WaterTest) -> str:
        return "Withdraw the water test"

    def beside(self, record: WaterTest) -> str:
        return f"of {record.tank}, {clock_words(record.tested_at)}"

    def crumb(self, record: WaterTest) -> Way:
        return Way("The test", reverse("housing:water", args=[record.pk]))

    def leads_to(self, record: WaterTest) -> str:
        return record.tank.get_absolute_url()


class LookKind(Kind[Look]):
    key = "look"
    model = Look
    related = ("tank",)

    def called(self, record: Look) -> str:
        return f"the look at all in {record.tank} on {plain_day(record.on)}"

    def crumb(self, record: Look) -> Way:
        return Way(str(record.tank), record.tank.get_absolute_url())

    def follows(self, record: Look) -> str:
        return "Nothing follows any more from nothing having been seen that day."


KINDS = (StayKind(), WaterTestKind(), LookKind())
