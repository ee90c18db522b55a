"""A chronicle as a line: what happened on which day, a row of marks for each kind of thing."""

import datetime
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from django.utils import timezone

from breeding.records.chronicle import kinds
from breeding.records.chronicle.asked import Asked
from breeding.records.chronicle.kept import newest_places
from breeding.records.chronicle.kinds import Kind
from breeding.records.chronicle.sources import SOURCES
from breeding.words.days import short_day
from breeding.words.months import short_month

Date = datetime.date

MOST = 400  # marks of one source, the latest of them
FEW_SAID = 12  # so many days of a row are read out one by one
MOST_YEARS = 12  # beneath a line that goes over several years each is named

OF_THE_PROGRAM: tuple[Kind, ...] = (
    kinds.PAIRED,
    kinds.BORN,
    kinds.CAME,
    kinds.RETURNED,
    kinds.AILED,
    kinds.LEFT,
    kinds.DIED,
)
OF_AN_ANIMAL: tuple[Kind, ...] = (
    *(kinds.BORN, kinds.CAME, kinds.MOVED, kinds.PAIRED, kinds.SEEN, kinds.BIRTH),
    *(kinds.AILED, kinds.TREATED, kinds.MEASURED, kinds.PICTURED, kinds.LEFT, kinds.RETURNED),
    kinds.DIED,
)


@dataclass(frozen=True)
class Mark:
    """A day with how many things of the kind, and how far along the line it stands, in percent."""

    on: Date
    number: int
    along: float


@dataclass(frozen=True)
class Row:
    kind: Kind
    marks: Sequence[Mark]

    @property
    def number(self) -> int:
        return sum(one.number for one in self.marks)

    @property
    def days(self) -> Sequence[str]:
        """The days for those who do not see them; empty where they are too many to listen to."""
        if len(self.marks) > FEW_SAID:
            return ()
        return [short_day(one.on) for one in self.marks]


@dataclass(frozen=True)
class Tick:
    """Where a month or a year begins."""

    words: str
    along: float


@dataclass(frozen=True)
class Line:
    first: Date
    last: Date
    rows: Sequence[Row]
    ticks: Sequence[Tick]
    today: float | None  # percent along it, None: outside


def line_of(asked: Asked, *, year: int | None, years: Sequence[int]) -> Line | None:
    """The line of a year, or of all the years of one animal; None where it has no mark.

    As many queries however many records there are.
    """
    today = asked.today
    shown = OF_THE_PROGRAM if asked.animals is None else OF_AN_ANIMAL
    if year is None and (asked.animals is None or not years):
        year = today.year
    first_year, last_year = (year, year) if year else (years[-1], max(years[0], today.year))
    first, last = Date(first_year, 1, 1), Date(last_year, 12, 31)
    days = _days(replace(asked, kind=None, before=None, since=first, until=last), shown)
    length = (last - first).days + 1

    def along(on: Date) -> float:
        return round(100 * (on - first).days / length, 2)

    rows = [
        Row(kind, [Mark(on, number, along(on)) for on, number in sorted(days[kind].items())])
        for kind in shown
        if days[kind]
    ]
    if not rows:
        return None
    ticks = [Tick(words, along(on)) for words, on in _ticks(first, last)]
    return Line(first, last, rows, ticks, along(today) if first <= today <= last else None)


def _days(asked: Asked, shown: Iterable[Kind]) -> dict[Kind, Counter[Date]]:
    found: dict[Kind, Counter[Date]] = defaultdict(Counter)
    wanted = {
        rank: source
        for rank, source in enumerate(SOURCES)
        if source.kind in shown and source.serves(asked)
    }
    for place in newest_places(wanted, asked, MOST):
        found[SOURCES[place.rank].kind][timezone.localtime(place.at).date()] += 1
    return found


def _ticks(first: Date, last: Date) -> Iterator[tuple[str, Date]]:
    """The months of a year; of several years each, or every second where there are many."""
    if first.year == last.year:
        for month in range(1, 13):
            on = Date(first.year, month, 1)
            yield short_month(on), on
        return
    step = 1 + (last.year - first.year) // MOST_YEARS
    for year in range(first.year, last.year + 1, step):
        yield str(year), Date(year, 1, 1)
