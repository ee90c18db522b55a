"""What papers tell: sheets issued and withdrawn, papers on where an animal comes from."""

from typing import Any

from django.db.models import QuerySet
from django.urls import reverse

from breeding.origin.models import OriginPaper
from breeding.records.chronicle.entry import Telling, Told, linked_name, phrase
from breeding.records.chronicle.kinds import PAPERS
from breeding.records.chronicle.source import Source
from breeding.sheets.models import Sheet, SheetWithdrawal
from breeding.words.language import message, tell
from breeding.words.stored import read_stored


def issued(sheet: Sheet, telling: Telling) -> Told:
    named = sheet.contact if telling.reads_buyers else None
    words = phrase(message("[parentage sheet] {number} issued"), number=sheet.number)
    if named:
        words = words.followed_by(message("{this}, for {buyer}"), buyer=linked_name(named))
    return Told(
        words,
        subject=sheet.animal,
        address=sheet.get_absolute_url(),
    )


def withdrawn(record: SheetWithdrawal, telling: Telling) -> Told:
    sheet = record.sheet
    return Told(
        phrase(
            message("[parentage sheet] {number} withdrawn: {reason}"),
            number=sheet.number,
            reason=read_stored(record.reason),
        )
        if telling.reads_buyers
        else phrase(message("[parentage sheet] {number} withdrawn"), number=sheet.number),
        subject=sheet.animal,
        address=sheet.get_absolute_url(),
    )


def on_origin(paper: OriginPaper, telling: Telling) -> Told:
    said = [
        tell("source code {code}", code=paper.source_code) if paper.source_code else "",
        tell("number {number}", number=paper.permit_number) if paper.permit_number else "",
        tell("issued by {office}", office=paper.issued_by) if paper.issued_by else "",
    ]
    words = ", ".join(one for one in said if one)
    return Told(
        phrase(message("[paper on its origin]: {words}"), words=words)
        if words
        else phrase(message("[paper on its origin]")),
        subject=paper.animal,
        address=reverse("origin:detail", args=[paper.animal_id]),
        note=paper.note,
        day_words="" if paper.dated else tell("the paper has no date"),
    )


def without_contents(rows: QuerySet[Any]) -> QuerySet[Any]:
    """What a sheet says is long, and not said here."""
    return rows.defer("facts", "tree_svg")


def without_the_sheets_contents(rows: QuerySet[Any]) -> QuerySet[Any]:
    return rows.defer("sheet__facts", "sheet__tree_svg")


SOURCES = (
    Source(
        kind=PAPERS,
        model=OriginPaper,
        day="dated",
        or_written=True,
        tell=on_origin,
        animals=("animal",),
        related=("animal",),
        words=("note", "permit_number", "issued_by", "animal__code", "animal__call_name"),
    ),
    Source(
        kind=PAPERS,
        model=Sheet,
        day="issued_on",
        tell=issued,
        animals=("animal",),
        related=("animal", "contact"),
        words=("number", "contact__name", "animal__code", "animal__call_name"),
        written="issued_at",
        by="issued_by",
        prepared=without_contents,
    ),
    Source(
        kind=PAPERS,
        model=SheetWithdrawal,
        day="withdrawn_on",
        tell=withdrawn,
        animals=("sheet__animal",),
        related=("sheet__animal",),
        words=("reason", "sheet__number"),
        prepared=without_the_sheets_contents,
    ),
)
