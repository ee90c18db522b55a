"""Acts on tables that are brought in: keep a draft, say what its columns mean, write it down."""

import datetime
from collections.abc import Collection, Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from breeding.animals.services import add_strains, register_animals
from breeding.program.acts.once import current_key
from breeding.program.models import Person, Program
from breeding.records.incoming.delimited import Table, TableError, read_table
from breeding.records.incoming.meanings import guess
from breeding.records.incoming.proposal import Proposal, propose
from breeding.records.models import ImportDraft

LONGEST_FILE_NAME = 120


@transaction.atomic
def keep_draft(
    *, by: Person | None, file_name: str, text: str, usual_state: str = "here"
) -> ImportDraft:
    """Keep a table to be looked at; its separator and columns are guessed from the text.

    Raises ValidationError when the text is no table.
    """
    table = _table(text)
    return ImportDraft.objects.create(
        recorded_by=by,
        file_name=file_name[:LONGEST_FILE_NAME],
        text=text,
        delimiter=table.delimiter,
        columns=guess(table.headers),
        usual_state=usual_state,
    )


@transaction.atomic
def choose_columns(
    draft: ImportDraft, *, columns: Mapping[str, int], delimiter: str, **choices: Any
) -> ImportDraft:
    """Say what the columns mean and how the rows are read.

    Another separator makes other columns, so their meanings are guessed anew.
    """
    _refuse_written(draft)
    if delimiter != draft.delimiter:
        draft.columns = guess(_table(draft.text, delimiter).headers)
        draft.delimiter = delimiter
    else:
        draft.columns = dict(columns)
    for name, value in choices.items():
        setattr(draft, name, value)
    draft.save()
    return draft


@transaction.atomic
def correct_text(draft: ImportDraft, text: str) -> ImportDraft:
    """Read a corrected text in place of the first; meanings stay when the header did."""
    _refuse_written(draft)
    before = read_table(draft.text, draft.delimiter).headers
    table = _table(text)
    if table.headers != before or table.delimiter != draft.delimiter:
        draft.columns = guess(table.headers)
        draft.delimiter = table.delimiter
    draft.text = text
    draft.save()
    return draft


class NotWrittenError(ValidationError):
    """Nothing was written: the draft has problems; they are in `proposal`."""

    def __init__(self, proposal: Proposal) -> None:
        self.proposal = proposal
        super().__init__([problem.message for problem in proposal.problems])


def write_draft(
    draft: ImportDraft,
    *,
    by: Person | None,
    program: Program,
    now: datetime.datetime,
    today: datetime.date,
    sure: Collection[str] = frozenset(),
) -> ImportDraft:
    """Write down every animal of the draft, or none. A draft that is written stays as it is.

    Raises NotWrittenError when the table, read against the records as they are now, has problems,
    and DoubtError when `sure` does not answer what is asked about it.
    """
    with transaction.atomic():
        draft = ImportDraft.objects.select_for_update().get(pk=draft.pk)
        if draft.is_written:
            return draft
        proposal = propose(draft, program=program, today=today)
        if not proposal.may_be_written:
            raise NotWrittenError(proposal)
        add_strains(proposal.new_strains)
        written = register_animals(proposal.rows, by=by, sure=sure)
        draft.animals.set(written.values())
        draft.written_at, draft.written_with = now, current_key()
        draft.save()
    return draft


def give_up(draft: ImportDraft) -> None:
    """Throw a draft away; one that is written stays."""
    _refuse_written(draft)
    draft.delete()


def _table(text: str, delimiter: str = "") -> Table:
    try:
        return read_table(text, delimiter)
    except TableError as problem:
        raise ValidationError(str(problem)) from None


def _refuse_written(draft: ImportDraft) -> None:
    if draft.is_written:
        raise ValidationError(f"{draft.file_name} is written down already.")
