"""What the program itself tells: lines of the day ticked off, tables brought in."""

from typing import Any

from django.db.models import Count, Q, QuerySet

from breeding.agenda.kinds.table import KINDS, kind_of
from breeding.agenda.models import Answer, Reminder
from breeding.records.chronicle.asked import Asked
from breeding.records.chronicle.entry import Telling, Told, phrase
from breeding.records.chronicle.kinds import ANSWERED, IMPORTS
from breeding.records.chronicle.source import Source, written_with
from breeding.records.incoming.kinds.table import KINDS as KINDS_OF_ROWS
from breeding.records.models import ImportDraft
from breeding.words.days import long_day
from breeding.words.language import message, tell, tell_many


def answered(record: Answer, telling: Telling) -> Told:
    line = kind_of(record.key.partition(":")[0]).remembered
    put_off = record.put_off_until
    return Told(
        phrase(message("[“{line}”] put off until {day}"), line=line, day=long_day(put_off))
        if put_off
        else phrase(message("[“{line}”] ticked off as done"), line=line),
        note=record.note,
    )


def that_one_may_read(asked: Asked) -> Q:
    """Answers to lines about buyers are for who may see buyers."""
    of_buyers = Q(pk__in=[])
    for kind in KINDS.values():
        if kind.is_of_buyers:
            of_buyers |= Q(key__startswith=f"{kind.key}:")
    return Q() if asked.reads_buyers else ~of_buyers


def reminded(record: Reminder, telling: Telling) -> Told:
    return Told(
        phrase(message("[{reminder}]: done, as one was reminded"), reminder=record.text),
        subject=record.animal or record.tank or record.contact,
        address=record.get_absolute_url() if telling.may_write else "",
    )


def about_no_contact(asked: Asked) -> Q:
    """Reminders about a contact are for who may see buyers."""
    return Q() if asked.reads_buyers else Q(contact__isnull=True)


def brought_in(record: ImportDraft, telling: Telling) -> Told:
    if record.kind == ImportDraft.Kind.ANIMALS:
        number: int = record.number_of_animals  # type: ignore[attr-defined]
        what = tell_many("{number} animal", "{number} animals", number)
    else:
        what = KINDS_OF_ROWS[record.kind].many
    return Told(
        phrase(message("[brought in]: {records} from {file}"), records=what, file=record.file_name),
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
        only=that_one_may_read,
        words=("key", "note"),
    ),
    Source(
        kind=ANSWERED,
        model=Reminder,
        day="done_on",
        tell=reminded,
        animals=("animal",),
        related=("animal", "tank", "contact"),
        only=about_no_contact,
        words=("text", "animal__code", "animal__call_name", "tank__name"),
        **written_with(Reminder, "done_on"),
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
