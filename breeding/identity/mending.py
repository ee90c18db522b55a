"""How a picture of nobody yet is changed, withdrawn and brought back."""

import datetime
from collections.abc import Mapping
from typing import Any

from django import forms
from django.urls import reverse
from django.utils import timezone

from breeding.identity.forms import SaidTwoChangeForm, UntoldChangeForm
from breeding.identity.models import SaidTwo, UntoldPicture
from breeding.identity.services import change_untold
from breeding.program.acts.mending import Kind, Way
from breeding.program.models import Person, Program
from breeding.words.days import plain_day
from breeding.words.language import tell


class UntoldKind(Kind[UntoldPicture]):
    key = "untold-picture"
    model = UntoldPicture

    def called(self, record: UntoldPicture) -> str:
        return tell("the picture of {day} of nobody yet", day=plain_day(record.taken_on))

    def crumb(self, record: UntoldPicture) -> Way:
        return Way(tell("Who is this?"), reverse("identity:who"))

    def lede(self, record: UntoldPicture, *, program: Program, today: datetime.date) -> str:
        return tell(
            "For a picture that is of no use, or came twice. Where it has become a picture of an "
            "animal, that one stays."
        )

    def change_form(
        self,
        record: UntoldPicture,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> forms.Form:
        return UntoldChangeForm(sent, instance=record)  # type: ignore[return-value]

    def change(
        self, record: UntoldPicture, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_untold(record, today=timezone.localdate(now), **facts)


class SaidTwoKind(Kind[SaidTwo]):
    key = "said-two"
    model = SaidTwo
    related = ("one", "other")

    def called(self, record: SaidTwo) -> str:
        return tell(
            "the word that {one} and {other} are two",
            one=record.one.name,
            other=record.other.name,
        )

    def crumb(self, record: SaidTwo) -> Way:
        return Way(tell("Pictures that look like another animal"), reverse("identity:alike"))

    def lede(self, record: SaidTwo, *, program: Program, today: datetime.date) -> str:
        return tell("It is asked again whether the two are one, as long as their pictures agree.")

    def change_form(
        self,
        record: SaidTwo,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> forms.Form:
        return SaidTwoChangeForm(sent, instance=record)  # type: ignore[return-value]

    def change(
        self, record: SaidTwo, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        record.note = facts["note"]
        record.save(update_fields=["note"])


KINDS = (UntoldKind(), SaidTwoKind())
