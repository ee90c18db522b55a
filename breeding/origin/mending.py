"""How papers of origin are withdrawn."""

import datetime

from django.urls import reverse
from django.utils.text import capfirst

from breeding.origin.models import OriginPaper
from breeding.origin.proof import paper_words
from breeding.program.acts.mending import Kind, Way
from breeding.program.models import Program


class OriginPaperKind(Kind[OriginPaper]):
    key = "paper"
    model = OriginPaper
    related = ("animal",)

    def called(self, record: OriginPaper) -> str:
        number = f" with the number {record.permit_number}" if record.permit_number else ""
        return f"the paper of {record.animal}{number}"

    def heading(self, record: OriginPaper) -> str:
        return f"Withdraw a paper of {record.animal.name}"

    def lede(self, record: OriginPaper, *, program: Program, today: datetime.date) -> str:
        paper = capfirst(paper_words(record))
        return f"{paper}. It counts no more and stays readable, its document too."

    def crumb(self, record: OriginPaper) -> Way:
        address = reverse("origin:detail", args=[record.animal_id])
        return Way(f"Origin of {record.animal.full_name}", address)


KINDS = (OriginPaperKind(),)
