"""A line of the day: what is due, for whom and why; how it is written, ordered and dated."""

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from operator import attrgetter

from django.urls import reverse

from breeding.agenda.kinds.kind import Button, Kind, Urgency
from breeding.animals.models import Animal
from breeding.words.days import near_day
from breeding.words.language import tell

KEY_SHAPE = r"[a-z_]+:[0-9a-z:-]+"  # of Line.key
Facts = Mapping[str, str | int]  # what the words and buttons of a kind name in braces


@dataclass(frozen=True)
class Act:
    """A button of a line: the route it leads to, and what it says."""

    words: str
    route: str
    argument: str | int | tuple[str, str | int] | None = None
    query: str = ""
    for_everyone: bool = False
    is_pressed: bool = False  # it is done with this tap, by a form

    @property
    def address(self) -> str:
        given = self.argument if isinstance(self.argument, tuple) else (self.argument,)
        return reverse(self.route, args=[one for one in given if one is not None]) + self.query


@dataclass(frozen=True)
class Line:
    """One thing to do.

    mark: what it is about beside its kind; another mark is another line, asked about anew.
    series_mark: stays the same for one female and season (one litter, one reservation), however
    the estimate moves and whatever is entered late. page_of: whose page it leads to, where its page
    is of one of many. animal: whose portrait stands beside it, if it is about one. until: the last
    day, for a span. doubt: how sure it is, as a sentence. moves_daily: `on` is only the day
    of reckoning. asked_again_on: the day to which the keeper had put it off.
    """

    kind: Kind
    mark: str
    series_mark: str
    on: datetime.date
    urgency: Urgency
    rank: int
    who: str
    what: str
    why: str
    animal: Animal | None
    page_of: int | None
    acts: Sequence[Act] = ()
    until: datetime.date | None = None
    doubt: str = ""
    moves_daily: bool = False
    asked_again_on: datetime.date | None = None

    @cached_property
    def key(self) -> str:
        """By which the keeper's answer is found again."""
        return f"{self.kind.key}:{self.mark}"

    @property
    def series(self) -> str:
        """By which a calendar finds the event again."""
        return f"{self.kind.key}:{self.series_mark}"

    @cached_property
    def place(self) -> tuple[int, datetime.date, str]:
        """Its place among others: by what harm comes of leaving it (see HARM), then the oldest."""
        return (self.rank, self.on, self.who)

    @property
    def outdoors(self) -> str:
        """What it says where others may read it."""
        return tell(self.kind.outdoors) if self.kind.outdoors else self.what


def write_line(
    kind: Kind,
    *,
    mark: str,
    on: datetime.date,
    today: datetime.date,
    who: str,
    why: str,
    animal: Animal | None,
    facts: Facts,
    series_mark: str = "",
    page_of: int | None = None,
    until: datetime.date | None = None,
    doubt: str = "",
    acts: Sequence[Act] = (),
) -> Line:
    """A line as the row of its kind has it, with the facts that its words and buttons name.

    acts: buttons of its own, after those of its kind. page_of: the animal, if nothing is said.
    """
    return Line(
        kind=kind,
        mark=mark,
        series_mark=series_mark or mark,
        on=on,
        urgency=kind.urgency_on(today, due_on=on),
        rank=kind.rank_on(today, due_on=on),
        who=who,
        what=tell(kind.heading, **facts),
        why=why,
        animal=animal,
        page_of=animal.pk if page_of is None and animal else page_of,
        acts=(*(_act(button, facts) for button in kind.buttons), *acts),
        until=until,
        doubt=doubt,
        moves_daily=kind.stands_for_today and on == today,
    )


def _act(button: Button, facts: Facts) -> Act:
    about = facts[button.argument] if button.argument else None
    return Act(
        words=tell(button.words, **facts),
        route=button.route,
        argument=(button.withdraws, about) if button.withdraws and about is not None else about,
        query=button.query.format_map(facts),
        for_everyone=button.for_everyone,
    )


def and_more(name: str, number: int) -> str:
    """The first one, and how many more it is about.

    >>> and_more("Mira", 0), and_more("Mira", 2)
    ('Mira', 'Mira and 2 more')
    """
    return tell("{name} and {number} more", name=name, number=number) if number else name


def in_order(lines: Iterable[Line]) -> list[Line]:
    """One list: those whose leaving does most harm first, then the oldest."""
    return sorted(lines, key=attrgetter("place"))


def when_words(line: Line, today: datetime.date) -> str:
    """What stands in the margin."""
    if line.urgency == "later":
        return tell("when you decide")
    when = near_day(line.on, today)
    if line.kind.margin == "daily":
        return (
            tell("daily since {when}", when=when)
            if line.on <= today
            else tell("daily from {when}", when=when)
        )
    if line.on < today:
        return tell("since {when}", when=when)
    if line.kind.margin == "from":
        return tell("from now on") if line.on == today else tell("from {when}", when=when)
    return tell("now") if line.on == today else tell("by {when}", when=when)
