"""How papers of origin are changed, withdrawn and brought back."""

import datetime
from collections.abc import Mapping
from typing import Any

from django import forms
from django.urls import reverse
from django.utils import timezone
from django.utils.text import capfirst

from breeding.origin.forms import OriginPaperChangeForm
from breeding.origin.models import OriginPaper
from breeding.origin.papers import change_origin_paper
from breeding.origin.proof import paper_words
from breeding.program.acts.mending import Kind, Way
from breeding.program.models import Person, Program
from breeding.words.language import tell


class OriginPaperKind(Kind[OriginPaper]):
    key = "paper"
    model = OriginPaper
    related = ("animal",)

    def called(self, record: OriginPaper) -> str:
        if record.permit_number:
            return tell(
                "the paper of {animal} with the number {permit}",
                animal=record.animal,
                permit=record.permit_number,
            )
        return tell("the paper of {animal}", animal=record.animal)

    def heading(self, record: OriginPaper) -> str:
        return tell("Withdraw a paper of {animal}", animal=record.animal.name)

    def lede(self, record: OriginPaper, *, program: Program, today: datetime.date) -> str:
        paper = capfirst(paper_words(record))
        return tell(
            "{paper}. It no longer counts and stays readable, its document too.", paper=paper
        )

    def crumb(self, record: OriginPaper) -> Way:
        address = reverse("origin:detail", args=[record.animal_id])
        return Way(tell("Origin of {animal}", animal=record.animal.full_name), address)

    def change_form(
        self,
        record: OriginPaper,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> forms.Form:
        return OriginPaperChangeForm(sent, paper=record)

    def change(
        self, record: OriginPaper, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_origin_paper(record, today=timezone.localdate(now), **facts)

    def beside_change(self, record: OriginPaper) -> str:
        if not record.document:
            return tell("A document is added with a paper of its own; withdraw this one then.")
        return tell(
            "Its document stays exactly as it is and is not replaced: for another one, withdraw "
            "this paper and write it down again."
        )


KINDS = (OriginPaperKind(),)
