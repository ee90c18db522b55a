"""What the keeper answered to the problems of a table: kept with the draft, applied to its rows."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from typing import Any

from breeding.records.incoming.cells import plain
from breeding.records.incoming.delimited import Row, Table
from breeding.records.incoming.meanings import within
from breeding.words.language import tell

AS, NEW, SKIP = "as", "new", "skip"


@dataclass(frozen=True)
class Answer:
    """One answer: to a value of a column wherever it stands, or of these lines alone.

    AS: it is read as `text`, which may be empty; NEW: a record of its own is made of it; SKIP:
    the rows are left out. asked: what was asked, to be shown beside the answer.
    """

    meaning: str
    typed: str = ""
    lines: tuple[int, ...] = ()
    act: str = AS
    text: str = ""
    keeps_words: bool = False
    asked: str = ""

    @property
    def about(self) -> tuple[str, str, tuple[int, ...]]:
        """What it answers: another answer to the same takes its place."""
        return (self.meaning, plain(self.typed), self.lines)

    def is_about(self, meaning: str, text: str, line: int) -> bool:
        if meaning != self.meaning:
            return False
        return line in self.lines if self.lines else plain(text) == plain(self.typed)

    @property
    def kept(self) -> dict[str, Any]:
        """As JSON holds it."""
        return asdict(self) | {"lines": list(self.lines)}


def answers_in(kept: Iterable[Mapping[str, Any]]) -> list[Answer]:
    return [Answer(**{**one, "lines": tuple(one["lines"])}) for one in kept]


def with_answers(before: Iterable[Answer], given: Iterable[Answer]) -> list[Answer]:
    """Both together; of two about the same the one given now."""
    return list({one.about: one for one in (*before, *given)}.values())


@dataclass
class AskedRow:
    """A row as the keeper answered it: what counts as typed, by meaning, and what stood there."""

    line: int
    typed: dict[str, str]
    stood: Mapping[str, str]
    given: int
    skips: bool = False
    is_added: bool = False
    notes: list[str] = field(default_factory=list)

    @property
    def title(self) -> str:
        """By which a row that is left out is named."""
        name = next((text for text in self.stood.values() if text), "")
        if name:
            return tell("line {line} ({name})", line=self.line, name=name)
        return tell("line {line}", line=self.line)


class Answered:
    """The rows of a table with all that was said of them; those left out apart."""

    def __init__(
        self,
        table: Table,
        columns: Mapping[str, int],
        answers: Sequence[Answer],
        labels: Mapping[str, Any],
        note: str,
        left_out: Iterable[int],
    ) -> None:
        """`note` is the meaning that takes what has no column of its own; empty: none does."""
        self.table, self.answers = table, answers
        # in the order of the table, whatever order a database gives back
        self.columns = dict(sorted(columns.items(), key=lambda one: one[1]))
        self.labels, self.note = labels, note
        self.noted = [one for one in _unknown(table, columns) if one not in left_out and note]
        read = [self._read(row) for row in table.rows]
        self.rows = [row for row in read if not row.skips]
        self.left_out = [row for row in read if row.skips]

    def new(self, *meanings: str) -> list[str]:
        """What is to become a record of its own, each once, as it was typed."""
        found = {
            plain(one.typed): " ".join(one.typed.split())
            for one in self.answers
            if one.act == NEW and one.meaning in meanings
        }
        return list(found.values())

    def _read(self, row: Row) -> AskedRow:
        stood = {meaning: row.cells[position] for meaning, position in self.columns.items()}
        read = AskedRow(row.line, dict(stood), stood, row.given)
        for answer in self.answers:
            if answer.is_about(answer.meaning, stood.get(answer.meaning, ""), row.line):
                self._apply(answer, read)
        for position in self.noted:
            if row.cells[position]:
                header = called(self.table.headers, position)
                read.notes.append(f"{header}: {row.cells[position]}")
        if read.notes and self.note:
            read.typed[self.note] = "; ".join([*filter(None, [stood.get(self.note)]), *read.notes])
        return read

    def _apply(self, answer: Answer, read: AskedRow) -> None:
        read.skips |= answer.act == SKIP
        if answer.act != AS:
            return
        stood = read.stood.get(answer.meaning, "")
        read.typed[answer.meaning] = answer.text
        if answer.keeps_words and stood and self.note:
            label = within(self.labels.get(answer.meaning, answer.meaning))
            read.notes.append(f"{label}: {stood}")


def called(headers: Sequence[str], position: int) -> str:
    """A column by its header, or by its number where it has none."""
    return headers[position] or tell("column {number}", number=position + 1)


def _unknown(table: Table, columns: Mapping[str, int]) -> Iterator[int]:
    """The columns that mean nothing so far, and hold something."""
    for position in range(len(table.headers)):
        if position not in columns.values() and any(row.cells[position] for row in table.rows):
            yield position
