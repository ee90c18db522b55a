"""A table of anything but animals: its rows are written by their service, on trial or for good.

On trial all of it is rolled back, so that what forbids a row, and what is asked about it, is what
the service itself says, with the rows before it written.
"""

import datetime
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Any

from auditlog.context import disable_auditlog
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Model
from django.utils import timezone

from breeding.animals.models import Animal
from breeding.animals.species.strains import add_strain
from breeding.buyers.services import add_contact
from breeding.housing.models import Tank, WaterSource
from breeding.housing.services import save_tank
from breeding.housing.work.sources import add_source
from breeding.program.frame.memory import for_one_request
from breeding.program.models import Person, Program
from breeding.program.problems.doubts import Doubt
from breeding.records.incoming.answers import AskedRow
from breeding.records.incoming.delimited import read_table
from breeding.records.incoming.kinds.kind import Keeping, Kind
from breeding.records.incoming.kinds.table import KINDS
from breeding.records.incoming.known import Known
from breeding.records.incoming.meanings import Meaning, within
from breeding.records.incoming.notes import column_notes
from breeding.records.incoming.problems import Looked, Problem, shown
from breeding.records.incoming.reader import Reader
from breeding.records.models import ImportDraft
from breeding.words.days import long_day, moment_in_figures
from breeding.words.language import tell
from breeding.words.numbers import joined, percent, some
from breeding.words.sizes import length, weight

_NAMED = 8
# Where a service says it in the words of its own form.
_FIELDS = {
    "weight_g": "weight",
    "disc_width_mm": "disc_width",
    "back_height_mm": "back_height",
    "girth_mm": "girth",
    "female": "animal",
    "contact": "contact",
    "state_on": "on",
    "animals": "animal",
}


@dataclass
class TriedRow:
    """One row: what it says, by meaning, and what was written of it."""

    line: int
    typed: Mapping[str, str]
    facts: dict[str, Any]
    record: Model | None = None


@dataclass
class Trial(Looked):
    """A table looked through row by row."""

    kind: Kind | None = None
    tried: list[TriedRow] = field(default_factory=list)
    shown: tuple[Meaning, ...] = ()

    @property
    def rows(self) -> list[TriedRow]:
        return self.tried

    @property
    def questions(self) -> list[Problem]:
        """Each at the column that it is about, where the table has one for it."""
        meanings = self.kind.meanings if self.kind else ()
        labels = {one.key: one.label for one in meanings}
        found = []
        for line, doubt in self.doubts:
            key = _key_of(doubt.field, labels)
            found.append(Problem((line,), key, doubt.sentence, label=labels.get(key, "")))
        return found


def try_out(
    draft: ImportDraft, *, program: Program, now: datetime.datetime, today: datetime.date
) -> Trial:
    """What writing the draft would give; nothing stays written.

    It reads as an act does, also for a page that only looks: nothing it reads beside rows that
    are rolled back stays known, and nothing known from before hides the rows on trial. Raises
    TableError when its text is no table. Cost: that of writing every row.
    """
    keeping = Keeping(None, program, now, today, draft.usual_state)
    with for_one_request(), transaction.atomic(), disable_auditlog():
        trial = _all_rows(draft, keeping)
        transaction.set_rollback(True)
    return trial


@transaction.atomic
def write_rows(draft: ImportDraft, keeping: Keeping) -> Trial:
    """Write every row of the draft, until one is refused: then `problems` or `doubts` say why.

    It is for the caller to roll back what was written when there are any.
    """
    return _all_rows(draft, keeping)


def keeping_of(
    draft: ImportDraft,
    *,
    by: Person | None,
    program: Program,
    now: datetime.datetime,
    today: datetime.date,
    sure: Iterable[str],
) -> Keeping:
    return Keeping(by, program, now, today, draft.usual_state, frozenset(sure))


def _all_rows(draft: ImportDraft, keeping: Keeping) -> Trial:
    table = read_table(draft.text, draft.delimiter)
    kind, known = KINDS[draft.kind], Known()
    reader = Reader(
        table,
        draft,
        kind.meanings,
        note=kind.note,
        program=keeping.program,
        today=keeping.today,
        known=known,
    )
    trial = Trial(table, reader.problems, left_out=reader.answered.left_out, kind=kind)
    made = list(_make_new(reader, keeping))
    if missing := _missing(kind, reader):
        trial.problems.append(Problem((), "columns", missing))
        return trial
    rows = [_read(one, kind, reader) for one in reader.rows]
    trial.tried = rows
    _keep(rows, kind, trial, keeping)
    trial.shown = tuple(one for one in kind.meanings if any(row.typed.get(one.key) for row in rows))
    trial.problems.sort(key=lambda problem: problem.lines[:1])
    if made:
        names = some(made, _NAMED)
        trial.notes.append(tell("Not on record yet, and written down too: {names}.", names=names))
    trial.notes += column_notes(reader)
    return trial


def _missing(kind: Kind, reader: Reader) -> str:
    """What no column says, when most of what is needed is not there: another kind, perhaps."""
    if not reader.rows:
        return tell(
            "Every row is left out by the answers; change one of them, or give the table up."
        )
    lacking = [
        one for one in kind.needed if not any(reader.cell(row, one.key) for row in reader.rows)
    ]
    if not lacking or (len(lacking) == 1 and len(kind.needed) > 1 and _can_be_said(lacking[0])):
        return ""
    return tell(
        "No column says {columns}, which each {kind} needs; choose the columns that do, or say "
        "that the rows are something else.",
        columns=joined([within(one.label) for one in lacking], "or"),
        kind=kind.one,
    )


def _can_be_said(lacking: Meaning) -> bool:
    """Whether what is lacking can be one answer for all rows."""
    return lacking.sort in ("transport", "day", "tank", "sign")


def _make_new(reader: Reader, keeping: Keeping) -> Iterator[str]:
    """What the keeper said is to become a record of its own; a name that cannot be is a problem."""
    for key, meaning in reader.meanings.items():
        for name in reader.answered.new(key):
            try:
                with transaction.atomic():
                    is_made = _make(meaning.sort, name, reader.known, keeping)
            except ValidationError as problem:
                words = " ".join(problem.messages)
                said = tell("{typed}: {problem}", typed=shown(name), problem=words)
                reader.problems.append(Problem((), key, said, label=meaning.label))
                continue
            if is_made:
                yield name


def _make(sort: str, name: str, known: Known, keeping: Keeping) -> bool:
    if sort == "tank":
        tank = Tank(name=name)
        tank.full_clean()
        known.tanks.add(save_tank(tank, by=keeping.by), [name])
    elif sort == "source":
        source = add_source(
            by=keeping.by, today=keeping.today, name=name, comes_from=WaterSource.ComesFrom.OTHER
        )
        known.sources.add(source, [name])
    elif sort == "person":
        known.people.add(add_contact(by=keeping.by, name=name, sure=keeping.sure), [name])
    elif sort == "strain":
        known.strains.add(add_strain(by=keeping.by, name=name), [name])
    return sort in ("tank", "source", "person", "strain")


def _read(asked: AskedRow, kind: Kind, reader: Reader) -> TriedRow:
    """The row by meaning; without facts when something in it cannot be read or is not said."""
    before = len(reader.problems)
    reader.check_width(asked)
    facts = {one.key: reader.value(asked, one) for one in kind.meanings}
    for one in kind.needed:
        if facts[one.key] is None and not reader.cell(asked, one.key):
            message = tell(
                "Nothing is said of “{column}”, which each {kind} needs.",
                column=within(one.label),
                kind=kind.one,
            )
            reader.problems.append(
                Problem((asked.line,), one.key, message, cause=one.key, label=one.label)
            )
    can_be = len(reader.problems) == before and all(
        facts[one.key] is not None for one in kind.needed
    )
    return TriedRow(asked.line, asked.typed, facts if can_be else {})


def _keep(rows: Sequence[TriedRow], kind: Kind, trial: Trial, keeping: Keeping) -> None:
    read = sorted((one for one in rows if one.facts), key=lambda one: kind.in_order(one.facts))
    for row, kept in zip(read, kind.keep_all([one.facts for one in read], keeping), strict=True):
        row.record = kept.record
        trial.doubts += [(row.line, one) for one in kept.doubts]
        trial.problems += [_reason_wanted(row, one) for one in kept.without_reason]
        if kept.refusal is not None:
            trial.problems += _problems(row, kind, kept.refusal)


def _reason_wanted(row: TriedRow, doubt: Doubt) -> Problem:
    why = tell("Say why, in its column.")
    return Problem((row.line,), "reason", f"{doubt.sentence} {why}")


def _problems(row: TriedRow, kind: Kind, problem: ValidationError) -> Iterator[Problem]:
    labels = {one.key: one.label for one in kind.meanings}
    for name, messages in problem.update_error_dict({}).items():
        known = _key_of(name, labels)
        for message in ValidationError(messages).messages:
            yield Problem((row.line,), known, message, label=labels.get(known, ""))


def _key_of(field: str, labels: Mapping[str, Any]) -> str:
    """The meaning that a field of a form stands for; empty where the table has none."""
    key = field if field in labels else _FIELDS.get(field, "")
    return key if key in labels else ""


def cell_words(value: Any, meaning: Meaning, program: Program) -> str:
    """What was read in a cell, as the preview says it."""
    if value is None or value == "":
        return ""
    if isinstance(value, Animal):
        return value.full_name
    if isinstance(value, list):
        return joined([_part_words(one, meaning, program) for one in value])
    if isinstance(value, datetime.datetime):
        return moment_in_figures(timezone.localtime(value))
    if isinstance(value, datetime.date):
        return long_day(value)
    if meaning.sort in ("length", "lengths"):
        return length(value, program.length_unit)
    if meaning.sort in ("weight", "weights"):
        return weight(value, program.weight_unit)
    if meaning.sort == "money":
        return f"{value[0]} {value[1]}".strip()
    if isinstance(value, Fraction):
        return percent(float(value))
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    flat = " ".join(str(value).split())
    return flat if len(flat) <= 80 else f"{flat[:80]}…"


def _part_words(value: Any, meaning: Meaning, program: Program) -> str:
    return "?" if value is None else cell_words(value, meaning, program)
