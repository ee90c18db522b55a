"""What stands against a table, and its causes: problems with one answer are asked about once."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from hashlib import sha256
from typing import Any

from django.core.exceptions import ValidationError

from breeding.program.problems.doubts import Doubt
from breeding.records.incoming import cells
from breeding.records.incoming.answers import Answer, AskedRow
from breeding.records.incoming.cells import plain
from breeding.records.incoming.delimited import Table
from breeding.records.incoming.meanings import BY_KEY, within
from breeding.words.language import tell, tell_many
from breeding.words.numbers import joined
from breeding.words.style import capital

_SHOWN = 60
_CHOICES = ("columns", "order", "code")


@dataclass(frozen=True)
class Problem:
    """Why the table cannot be written: the lines, the column's meaning, and a sentence.

    typed: the value that is at fault wherever it stands; None where the rows themselves are.
    cause: problems of one cause have one answer, whatever their sentences say.
    """

    lines: tuple[int, ...]
    meaning: str
    message: str
    typed: str | None = None
    cause: str = ""
    label: Any = ""

    @property
    def where(self) -> str:
        """Line 5, sire; or lines 3 and 5."""
        known = BY_KEY[self.meaning].label if self.meaning in BY_KEY else ""
        label = self.label or known
        if not self.lines:
            return str(label) or tell("The table")
        lines = capital(lines_words(self.lines))
        return tell("{lines}, {column}", lines=lines, column=within(label)) if label else lines

    @property
    def group(self) -> str:
        """The same for problems that one answer solves."""
        if self.typed is not None:
            return f"value {self.meaning} {plain(self.typed)}"
        return f"cause {self.cause}" if self.cause else f"said {self.meaning} {self.message}"


def lines_words(lines: Sequence[int]) -> str:
    """Line 3; lines 3, 4 and 12 more."""
    shown = [f"{line}" for line in lines[:6]]
    if len(lines) > 6:
        shown.append(tell("{number} more", number=len(lines) - 6))
    return tell_many("line {lines}", "lines {lines}", len(lines), lines=joined(shown))


def shown(value: str) -> str:
    """A value as a problem names it: on one line, not too long, in quotation marks."""
    flat = " ".join(value.split())
    return tell("“{text}”", text=f"{flat[:_SHOWN]}…" if len(flat) > _SHOWN else flat)


def sentence(typed: str, problem: ValidationError) -> str:
    """What is wrong with a cell, in a whole sentence that names what stands in it."""
    words = str(problem.messages[0])
    return f"{shown(typed)} {words}" if problem.code == cells.FOLLOWS else words


@dataclass(frozen=True)
class Cause:
    """Problems that one answer solves; `answer` is what would be answered, empty so far."""

    meaning: str
    typed: str | None
    lines: tuple[int, ...]
    message: str
    where: str

    @property
    def name(self) -> str:
        """By which its fields on the form are called."""
        about = f"{self.meaning} {self.typed} {'' if self.typed else self.lines}"
        return sha256(about.encode()).hexdigest()[:10]

    @property
    def answer(self) -> Answer:
        """An answer to it, to be filled in."""
        if self.typed:
            return Answer(self.meaning, self.typed, asked=self.message)
        return Answer(self.meaning, "", self.lines, asked=self.message)


def causes_of(problems: Iterable[Problem]) -> list[Cause]:
    """The problems of rows by what one answer solves, in the order of their lines."""
    groups: dict[str, list[Problem]] = {}
    for problem in problems:
        if problem.lines:
            groups.setdefault(problem.group, []).append(problem)
    found: dict[str, Cause] = {}
    for cause in map(_cause, groups.values()):
        # Two things against one cell of one row are one question: it has one answer.
        if before := found.get(cause.name):
            cause = replace(before, message=f"{before.message} {cause.message}")
        found[cause.name] = cause
    return list(found.values())


def _cause(group: Sequence[Problem]) -> Cause:
    first = group[0]
    lines = tuple(sorted({line for one in group for line in one.lines}))
    together = Problem(lines, first.meaning, first.message, label=first.label)
    message = first.message
    if first.cause and len({one.message for one in group}) > 1:
        more = tell("And {number} more like it.", number=len(group) - 1)
        message = f"{message} {more}"
    if first.meaning == "code" and not first.cause and len(lines) > 1:
        lines = lines[1:]  # the first of them may keep it
        rest = tell("Answer for {lines}; the first keeps it.", lines=lines_words(lines))
        message = f"{message} {rest}"
    return Cause(first.meaning, first.typed, lines, message, together.where)


@dataclass
class Looked:
    """A table looked through: what stands against it, what is asked, and how it is read."""

    table: Table
    problems: list[Problem] = field(default_factory=list)
    doubts: list[tuple[int, Doubt]] = field(default_factory=list)  # by line, asked on the page
    notes: list[str] = field(default_factory=list)
    left_out: list[AskedRow] = field(default_factory=list)

    @property
    def may_be_written(self) -> bool:
        return not self.problems

    @property
    def causes(self) -> list[Cause]:
        return causes_of(self.problems)

    @property
    def of_the_table(self) -> list[Problem]:
        """Problems that no answer to rows solves."""
        return [one for one in self.problems if not one.lines]

    @property
    def questions(self) -> list[Problem]:
        """What is asked once before the table is written, line by line."""
        return [Problem((line,), doubt.field, doubt.sentence) for line, doubt in self.doubts]

    @property
    def marks(self) -> str:
        """What the box on the page answers."""
        return " ".join(dict.fromkeys(doubt.mark for _, doubt in self.doubts))

    @property
    def asks_for_choices(self) -> bool:
        """Whether a problem is solved by saying what the columns hold, not in the table."""
        return any(problem.meaning in _CHOICES for problem in self.problems)
