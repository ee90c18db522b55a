"""Reads the cells of rows one after the other; what cannot be read is kept as a problem."""

import datetime
from collections.abc import Callable, Sequence
from typing import Any, TypeVar

from django.core.exceptions import ValidationError

from breeding.program.models import Program
from breeding.records.incoming import cells
from breeding.records.incoming.answers import Answered, AskedRow, answers_in
from breeding.records.incoming.delimited import Table
from breeding.records.incoming.known import Known
from breeding.records.incoming.meanings import Meaning, unit_in, within
from breeding.records.incoming.problems import Problem, sentence
from breeding.records.incoming.sorts import Reading, read_value
from breeding.records.models import ImportDraft
from breeding.words.language import tell

T = TypeVar("T")
_DATES = ("birth", "day", "day_ahead", "moment")
TOO_MANY = "too many values"


class Reader:
    """What is common to reading every kind of table."""

    def __init__(
        self,
        table: Table,
        draft: ImportDraft,
        meanings: Sequence[Meaning],
        *,
        note: str,
        program: Program,
        today: datetime.date,
        known: Known | None = None,
    ) -> None:
        self.table, self.draft, self.today = table, draft, today
        self.meanings = {one.key: one for one in meanings}
        self.columns = {
            meaning: position
            for meaning, position in draft.columns.items()
            if meaning in self.meanings and position < len(table.headers)
        }
        labels = {one.key: one.label for one in meanings}
        answers = answers_in(draft.answers)
        self.answered = Answered(table, self.columns, answers, labels, note, draft.left_out)
        self.rows = self.answered.rows
        self.problems: list[Problem] = []
        self.known = known or Known()
        self.units = dict(self._units(program))
        self._ways: dict[str, Callable[[str], Any]] = {}
        self.order = self._order_of_dates()

    def _units(self, program: Program) -> Any:
        usual = {
            "length": program.length_unit,
            "lengths": program.length_unit,
            "weight": program.weight_unit,
            "weights": program.weight_unit,
            "grams": program.weight_unit,
            "temperature": program.temperature_unit.lower(),
        }
        for key, position in self.columns.items():
            if unit := usual.get(self.meanings[key].sort):
                yield key, unit_in(self.table.headers[position], key) or unit

    def cell(self, row: AskedRow, meaning: str) -> str:
        return row.typed.get(meaning, "")

    def _order_of_dates(self) -> str | None:
        """Day or month first; None when it must be asked, which is a problem kept."""
        if self.draft.date_order:
            return str(self.draft.date_order)
        typed = [
            (row.line, text)
            for row in self.rows
            for key, meaning in self.meanings.items()
            if meaning.sort in _DATES
            for text in {self.cell(row, key), row.stood.get(key, "")}  # answered or not, it tells
            if text
        ]
        try:
            return cells.order_of_dates(typed)
        except ValidationError as problem:
            self.problems.append(Problem((), "order", problem.messages[0]))
            return None

    def check_width(self, row: AskedRow) -> None:
        """A row with more values than the header has columns."""
        if row.given > len(self.table.headers):
            message = tell(
                "The row has {number} values, but the header names {columns} columns; a value "
                "that holds the separator stands in quotation marks.",
                number=row.given,
                columns=len(self.table.headers),
            )
            self.problems.append(Problem((row.line,), "", message, cause=TOO_MANY))

    def try_cell(self, row: AskedRow, meaning: str, reading: Callable[[str], T]) -> T | None:
        """What the cell says; None when it is empty or cannot be read, which is a problem kept."""
        text = self.cell(row, meaning)
        if not text:
            return None
        try:
            return reading(text)
        except ValidationError as problem:
            said, label = sentence(text, problem), self.meanings[meaning].label
            stood = row.stood.get(meaning) or None
            self.problems.append(Problem((row.line,), meaning, said, typed=stood, label=label))
            return None

    def value(self, row: AskedRow, meaning: Meaning) -> Any:
        """The value of a cell by its sort."""
        text = self.cell(row, meaning.key)
        if not text:
            return None
        if self.order is None and meaning.sort in _DATES and cells.numbers_of_date(text):
            return None  # its order is asked for, once for the whole table
        if meaning.key not in self._ways:
            self._ways[meaning.key] = self._way(meaning)
        return self.try_cell(row, meaning.key, self._ways[meaning.key])

    def _way(self, meaning: Meaning) -> Callable[[str], Any]:
        """How the cells of a column are read: the same for every row."""
        order, unit = self.order or cells.DAY_FIRST, self.units.get(meaning.key, "")
        how, what = Reading(self.known, order, self.today, unit), within(meaning.label)
        return lambda text: read_value(meaning.sort, text, how, what=what)
