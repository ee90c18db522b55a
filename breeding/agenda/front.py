"""How the lines stand on the front page: now, the week ahead, when you decide; many as one."""

import datetime
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

from breeding.agenda.kinds.kind import GROUPS, URGENCIES
from breeding.agenda.lines.line import Act, Line, when_words
from breeding.agenda.sent.addresses import path_of
from breeding.pairings.season.reading import SeasonReading
from breeding.words.language import tell
from breeding.words.numbers import some

DAYS = 7  # the week ahead, today with it
MOST_NAMED = 3
MOST_NOW = 10  # rows that the first screen of a phone holds; the rest open with one tap
PRESSING_ALIKE = (
    3  # from so many of one kind on, what presses is one row; below it each has its own
)
ALIKE = 2
MOST_OF_ONE = 6  # lines of one kind written out on the page; all have a page of their own
MOST_WRITTEN = 12  # on the page together, but for the first of each row
MOST_ROWS = 14  # of a part of the page
A_PAGE = 40


@dataclass(frozen=True)
class Span:
    """Where a line stands in the week: columns from 1 to 8, as a grid counts its lines.

    shape: a mark on its day, a bar up to it, or a ring on each day from it on. goes_on: its day
    comes after the week.
    """

    shape: Literal["mark", "by", "daily"]
    first: int
    last: int
    goes_on: bool = False

    @property
    def days(self) -> range:
        """Each day of the span, as a column."""
        return range(self.first, self.last)


@dataclass(frozen=True)
class Shown:
    """A line with what the page says beside it."""

    line: Line
    today: datetime.date

    @cached_property
    def when(self) -> str:
        return when_words(self.line, self.today)

    @cached_property
    def path(self) -> str:
        return path_of(self.line)

    @cached_property
    def span(self) -> Span:
        return span_of(self.line, self.today)

    @property
    def first_act(self) -> Act | None:
        """The button that stands beside it; one that is done at once has its own."""
        return None if self.line.kind.is_done_at_once else next(iter(self.line.acts), None)

    @property
    def further_acts(self) -> Sequence[Act]:
        return self.line.acts if self.line.kind.is_done_at_once else self.line.acts[1:]


@dataclass(frozen=True)
class Row:
    """One line, or several of one kind under one heading.

    written: how many of them the page writes out under it.
    """

    lines: tuple[Line, ...]
    today: datetime.date
    written: int = MOST_OF_ONE

    @property
    def written_out(self) -> list[Shown]:
        return shown_lines(self.lines[: self.written], self.today)

    @property
    def are_more(self) -> bool:
        return len(self.lines) > self.written

    @cached_property
    def first(self) -> Shown:
        return Shown(self.lines[0], self.today)

    @property
    def is_one(self) -> bool:
        return len(self.lines) == 1

    @property
    def spans(self) -> list[Span]:
        """Where its lines stand in the week, each place once."""
        days = {(one.on, one.kind.margin): one for one in self.lines}
        return list(dict.fromkeys(span_of(one, self.today) for one in days.values()))

    @cached_property
    def who(self) -> str:
        return some([one.who for one in self.lines], MOST_NAMED)

    @property
    def kind(self) -> str:
        return self.lines[0].kind.key

    @cached_property
    def what(self) -> str:
        kind, what = self.lines[0].kind, self.lines[0].what
        if any(one.what != what for one in self.lines):
            return tell(kind.several or GROUPS[kind.group])
        if self.is_one or not kind.several:
            return what
        return tell(kind.several)


@dataclass(frozen=True)
class Front:
    """The rows of the page. more_now: what presses and has no room on the first screen."""

    now: list[Row]
    more_now: list[Row]
    week: list[Row]
    decide: list[Row]

    @property
    def is_empty(self) -> bool:
        return not (self.now or self.week or self.decide)


def front_of(lines: Iterable[Line], today: datetime.date) -> Front:
    """The lines of a day in their order, by how much they press."""
    by_urgency: dict[str, list[Line]] = {urgency: [] for urgency in URGENCIES}
    for line in lines:
        by_urgency[line.urgency].append(line)
    now, week, decide = (
        _together(_rows(by_urgency[urgency], least, today), today)
        for urgency, least in (("now", PRESSING_ALIKE), ("soon", ALIKE), ("later", ALIKE))
    )
    written = list(_bounded([*now, *week, *decide]))
    now, rest = written[: len(now)], written[len(now) :]
    most = MOST_NOW if len(now) <= MOST_NOW else MOST_NOW - 1
    return Front(now[:most], now[most:], week=rest[: len(week)], decide=rest[len(week) :])


def shown_lines(lines: Iterable[Line], today: datetime.date) -> list[Shown]:
    """Lines with what a page says beside each."""
    return [Shown(one, today) for one in lines]


def _bounded(rows: Iterable[Row]) -> Iterator[Row]:
    """As many lines written out as a page can hold, those that press most first."""
    left = MOST_WRITTEN
    for row in rows:
        written = max(1, min(len(row.lines), MOST_OF_ONE, left))
        left -= written
        yield replace(row, written=written)


def _together(rows: Sequence[Row], today: datetime.date) -> list[Row]:
    """Where a part of the page has too many rows, those of one kind become one."""
    if len(rows) <= MOST_ROWS:
        return list(rows)
    by_kind: dict[str, list[Line]] = {}
    for row in rows:
        by_kind.setdefault(row.kind, []).extend(row.lines)
    return [Row(tuple(lines), today) for lines in by_kind.values()]


def _rows(lines: Sequence[Line], least: int, today: datetime.date) -> list[Row]:
    """Those of one kind that say the same become one row, where its first line stands."""
    alike: dict[tuple[str, str], list[tuple[int, Line]]] = {}
    for at, one in enumerate(lines):
        sameness = (one.kind.key, "" if one.kind.several else one.what)
        alike.setdefault(sameness, []).append((at, one))
    rows: dict[int, Row] = {}
    for same in alike.values():
        if len(same) < least:
            rows |= {at: Row((one,), today) for at, one in same}
        else:
            rows[same[0][0]] = Row(tuple(one for _, one in same), today)
    return [rows[at] for at in sorted(rows)]


def span_of(line: Line, today: datetime.date) -> Span:
    """Where the line stands in the seven days from today on."""
    ahead = (line.on - today).days
    column = min(max(ahead, 0), DAYS) + 1
    if line.kind.margin == "daily":
        return Span("daily", min(column, DAYS), DAYS + 1)
    if ahead <= 0:
        return Span("mark", 1, 2)
    return Span("by", 1, min(column + 1, DAYS + 1), goes_on=ahead >= DAYS)


@dataclass(frozen=True)
class NextBirth:
    """Whose young are expected first, and by when."""

    reading: SeasonReading
    by: datetime.date


def next_birth(seasons: Iterable[SeasonReading], today: datetime.date) -> NextBirth | None:
    """Of the females that are likely pregnant, the one whose window closes first; None: nobody."""
    found = [
        NextBirth(one, one.estimate.announced.p95)
        for one in seasons
        if one.estimate.announced is not None
        and one.estimate.announced_chance >= one.rules.worth_planning_chance
        and one.estimate.announced.p95 >= today
    ]
    return min(found, key=lambda one: (one.by, one.reading.female.name), default=None)
