"""How a picture of nobody yet is changed, withdrawn and brought back."""

import datetime
from collections.abc import Mapping
from typing import Any

from django import forms
from django.urls import reverse

from breeding.identity.forms import UntoldChangeForm
from breeding.identity.models import UntoldPicture
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
        change_untold(record, today=now.date(), **facts)


KINDS = (UntoldKind(),)
