"""What the program itself tells: lines of the day ticked off, tables brought in."""

from typing import Any

from django.db.models import Count, QuerySet

from breeding.agenda.kinds.table import kind_of
from breeding.agenda.models import Answer
from breeding.records.chronicle.entry import Telling, Told
from breeding.records.chronicle.kinds import ANSWERED, IMPORTS
from breeding.records.chronicle.source import Source
from breeding.records.models import ImportDraft
from breeding.words.days import long_day
from breeding.words.numbers import counted


def answered(record: Answer, telling: Telling) -> Told:
    line = kind_of(record.key.partition(":")[0]).category
    put_off = record.put_off_until
    return Told(
        lead=f"“{line}”",
        rest=f" put off until {long_day(put_off)}" if put_off else " ticked off as done",
        note=record.note,
    )


def brought_in(record: ImportDraft, telling: Telling) -> Told:
    return Told(
        lead="brought in",
        rest=f": {counted(record.number_of_animals, 'animal')} from {record.file_name}",  # type: ignore[attr-defined]
        address=record.get_absolute_url(),
    )


def with_number(rows: QuerySet[Any]) -> QuerySet[Any]:
    found: QuerySet[Any] = rows.annotate(number_of_animals=Count("animals"))
    return found.defer("text")


SOURCES = (
    Source(
        kind=ANSWERED,
        model=Answer,
        day="recorded_at",
        tell=answered,
        words=("key", "note"),
    ),
    Source(
        kind=IMPORTS,
        model=ImportDraft,
        day="written_at",
        tell=brought_in,
        words=("file_name",),
        for_keepers=True,
        prepared=with_number,
    ),
)
