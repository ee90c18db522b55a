"""How tanks are given up and brought back, and looks at them put right."""

import datetime
from collections.abc import Mapping
from typing import Any

from django.urls import reverse
from django.utils import timezone

from breeding.housing import looks, services
from breeding.housing.models import Look, Tank
from breeding.housing.stays.forms import LookChangeForm
from breeding.program.acts.mending import Kind, Way
from breeding.program.models import Person, Program
from breeding.words.days import plain_day
from breeding.words.language import message, tell


class TankKind(Kind[Tank]):
    key = "tank"
    model = Tank
    button = message("Give it up")
    what_was_done = message("Given up")

    def called(self, record: Tank) -> str:
        return tell("the tank {tank}", tank=record)

    def heading(self, record: Tank) -> str:
        return tell("Give up {tank}", tank=record)

    def lede(self, record: Tank, *, program: Program, today: datetime.date) -> str:
        return tell(
            "It is no longer used, or was never there: it stays readable with the reason, and "
            "nobody is put there. Who was in it stays on record, and counts."
        )

    def crumb(self, record: Tank) -> Way:
        return Way(str(record), record.get_absolute_url())

    def follows(self, record: Tank) -> str:
        return tell("Who was in it stays on record.")

    def act(
        self, record: Tank, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        services.give_up_tank(record, by=by, now=now, reason=facts["reason"])

    def own_change_page(self, record: Tank) -> str:
        return reverse("housing:edit", args=[record.pk])

    def returns(self, record: Tank) -> str:
        return tell("Animals can be put there.")


class LookKind(Kind[Look]):
    key = "look"
    model = Look
    related = ("tank",)

    def called(self, record: Look) -> str:
        return tell(
            "the look at all in {tank} on {day}", tank=record.tank, day=plain_day(record.on)
        )

    def crumb(self, record: Look) -> Way:
        return Way(str(record.tank), record.tank.get_absolute_url())

    def follows(self, record: Look) -> str:
        return tell("That nothing was seen that day no longer counts.")

    def change_form(
        self,
        record: Look,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> LookChangeForm:
        return LookChangeForm(sent, record=record, today=today)

    def change(
        self, record: Look, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        looks.change_look(record, **facts, today=timezone.localdate(now))

    def return_to_count(self, record: Look, *, by: Person, now: datetime.datetime) -> None:
        looks.bring_back_look(record)
