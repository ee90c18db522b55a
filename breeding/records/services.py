"""Acts on tables that are brought in: keep a draft, say what its columns mean, write it down."""

import datetime
import secrets
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Model

from breeding.animals.services import add_strains, register_animals
from breeding.program.acts.once import current_key
from breeding.program.language.chosen import each_in_each_language
from breeding.program.models import Person, Program
from breeding.program.problems.doubts import DoubtError, ask
from breeding.records.incoming.answers import Answer, answers_in, with_answers
from breeding.records.incoming.delimited import Table, TableError, read_table
from breeding.records.incoming.kinds.kind import Keeping
from breeding.records.incoming.kinds.table import ANIMALS, guess_kind, meanings_of
from breeding.records.incoming.meanings import guess
from breeding.records.incoming.problems import Looked
from breeding.records.incoming.proposal import propose
from breeding.records.incoming.trial import keeping_of, write_rows
from breeding.records.incoming.workbook import Sheet
from breeding.records.models import ImportDraft
from breeding.words.language import tell

LONGEST_FILE_NAME = 120


@transaction.atomic
def keep_draft(
    *,
    by: Person | None,
    file_name: str,
    text: str,
    usual_state: str = "here",
    workbook: str = "",
    kind: str = "",
) -> ImportDraft:
    """Keep a table to be looked at; kind, separator and columns are guessed from the text.

    Raises ValidationError when the text is no table.
    """
    table = _table(text)
    kind = kind or guess_kind(table.headers)
    return ImportDraft.objects.create(
        recorded_by=by,
        file_name=file_name[:LONGEST_FILE_NAME],
        text=text,
        delimiter=table.delimiter,
        kind=kind,
        columns=guess(table.headers, meanings_of(kind)),
        usual_state=usual_state,
        workbook=workbook,
    )


@transaction.atomic
def keep_sheets(
    *, by: Person | None, file_name: str, sheets: Sequence[Sheet]
) -> tuple[list[ImportDraft], list[str]]:
    """A draft of each sheet that is a table, in the order they are brought in; and the others.

    Raises ValidationError when none of them is.
    """
    drafts, refused = [], []
    workbook = secrets.token_hex(8)
    for sheet in sheets:
        name = f"{file_name}, {sheet.name}" if len(sheets) > 1 else file_name
        try:
            drafts.append(keep_draft(by=by, file_name=name, text=sheet.text, workbook=workbook))
        except ValidationError as problem:
            refused.append(
                tell("“{sheet}”: {problem}", sheet=sheet.name, problem=problem.messages[0])
            )
    if not drafts:
        raise ValidationError({"file": refused})
    order = ImportDraft.Kind.values
    return sorted(drafts, key=lambda draft: order.index(draft.kind)), refused


@transaction.atomic
def choose_columns(
    draft: ImportDraft,
    *,
    columns: Mapping[str, int],
    left_out: Sequence[int] = (),
    delimiter: str = "",
    kind: str = "",
    **choices: Any,
) -> ImportDraft:
    """Say what the rows are, what the columns mean and how they are read.

    Another separator makes other columns, and another kind other meanings: both are guessed anew.
    """
    _refuse_written(draft)
    kept = ImportDraft.objects.get(pk=draft.pk)  # without what a form put into the draft
    delimiter, kind = delimiter or kept.delimiter, kind or kept.kind
    if (delimiter, kind) != (kept.delimiter, kept.kind):
        headers = _table(draft.text, delimiter).headers
        draft.columns, draft.left_out = guess(headers, meanings_of(kind)), []
        draft.answers = kept.answers if kind == kept.kind else []
    else:
        draft.columns, draft.left_out = dict(columns), list(left_out)
    draft.delimiter, draft.kind = delimiter, kind
    for name, value in choices.items():
        setattr(draft, name, value)
    draft.save()
    return draft


@transaction.atomic
def answer(
    draft: ImportDraft, *, given: Iterable[Answer], taken_back: Iterable[Answer] = ()
) -> ImportDraft:
    """Keep what was answered to the problems of a draft; what is taken back is asked again."""
    _refuse_written(draft)
    draft = ImportDraft.objects.select_for_update().get(pk=draft.pk)
    back = {one.about for one in taken_back}
    answers = with_answers(answers_in(draft.answers), given)
    draft.answers = [one.kept for one in answers if one.about not in back]
    draft.save()
    return draft


@transaction.atomic
def correct_text(draft: ImportDraft, text: str) -> ImportDraft:
    """Read a corrected text in place of the first; meanings stay when the header did.

    What was answered of single lines is asked again: they may be others now.
    """
    _refuse_written(draft)
    before = read_table(draft.text, draft.delimiter).headers
    table = _table(text)
    if table.headers != before or table.delimiter != draft.delimiter:
        draft.columns, draft.left_out = guess(table.headers, meanings_of(draft.kind)), []
        draft.delimiter = table.delimiter
    if text != draft.text:
        draft.answers = [one for one in draft.answers if not one["lines"]]
    draft.text = text
    draft.save()
    return draft


class NotWrittenError(ValidationError):
    """Nothing was written: the draft has problems; they are in `proposal`."""

    def __init__(self, proposal: Looked) -> None:
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
    """Write down every row of the draft, or none. A draft that is written stays as it is.

    Raises NotWrittenError when the table, read against the records as they are now, has problems,
    and DoubtError when `sure` does not answer what is asked about it.
    """
    with transaction.atomic():
        draft = ImportDraft.objects.select_for_update().get(pk=draft.pk)
        if draft.is_written:
            return draft
        if draft.kind == ANIMALS:
            _write_animals(draft, by, program, today, sure)
        else:
            keeping = keeping_of(draft, by=by, program=program, now=now, today=today, sure=sure)
            _write_rows(draft, keeping)
        draft.written_at, draft.written_with = now, current_key()
        draft.save()
    return draft


def _write_animals(
    draft: ImportDraft,
    by: Person | None,
    program: Program,
    today: datetime.date,
    sure: Collection[str],
) -> None:
    proposal = propose(draft, program=program, today=today)
    if not proposal.may_be_written:
        raise NotWrittenError(proposal)
    ask((doubt for _, doubt in proposal.doubts), sure)
    add_strains(proposal.new_strains)
    written = register_animals(proposal.rows, by=by, sure=sure)
    draft.animals.set(written.values())


def _write_rows(draft: ImportDraft, keeping: Keeping) -> None:
    trial = write_rows(draft, keeping)
    if not trial.may_be_written:
        raise NotWrittenError(trial)
    if trial.doubts:
        raise DoubtError(doubt for _, doubt in trial.doubts)
    records = [row.record for row in trial.rows if row.record is not None]
    draft.receipt = [
        [words, address_of(record)]
        for words, record in zip(each_in_each_language(records), records, strict=True)
    ]


def address_of(record: Model) -> str:
    """The page of a record, or of the animal or the tank it is of; empty for none."""
    for name in ("page_address", "get_absolute_url"):
        if found := getattr(record, name, ""):
            return str(found() if callable(found) else found)
    whole = getattr(record, "animal", None)
    return str(whole.get_absolute_url()) if whole is not None else ""


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
        raise ValidationError(tell("{file} is written down already.", file=draft.file_name))
