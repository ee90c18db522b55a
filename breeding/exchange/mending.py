"""How a taken ancestry is noted upon, withdrawn as a whole and brought back."""

import datetime
from collections.abc import Mapping
from typing import Any

from django import forms
from django.urls import reverse

from breeding.exchange.files import own_public, read_given
from breeding.exchange.forms import TakenChangeForm
from breeding.exchange.models import TakenAncestry
from breeding.exchange.taking import bring_back_taken, withdraw_taken
from breeding.program.acts.mending import Kind, Way
from breeding.program.models import Person, Program
from breeding.words.language import tell


class TakenKind(Kind[TakenAncestry]):
    key = "taken-ancestry"
    model = TakenAncestry

    def called(self, record: TakenAncestry) -> str:
        return tell("the ancestry from {issuer}", issuer=record.issuer or record.key[:8])

    def crumb(self, record: TakenAncestry) -> Way:
        return Way(tell("Ancestry given and taken"), reverse("exchange:index"))

    def lede(self, record: TakenAncestry, *, program: Program, today: datetime.date) -> str:
        return tell(
            "Everything that came with it goes: the animals it wrote down, and the parents it gave "
            "to animals of your own."
        )

    def act(
        self, record: TakenAncestry, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        withdraw_taken(record, by=by, now=now, reason=facts["reason"])

    def return_to_count(self, record: TakenAncestry, *, by: Person, now: datetime.datetime) -> None:
        bring_back_taken(record, read_given(record.content), own_public())

    def change_form(
        self,
        record: TakenAncestry,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> forms.Form:
        return TakenChangeForm(sent, instance=record)  # type: ignore[return-value]

    def change(
        self, record: TakenAncestry, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        record.note = facts["note"]
        record.save(update_fields=["note"])


KINDS = (TakenKind(),)
