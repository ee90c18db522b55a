"""An entry of a chronicle: when it was, what it was, who wrote it and when, what became of it."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple

from django.db import models
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from breeding.animals.models import Animal, Photograph
from breeding.program.models import Person, Program
from breeding.records.chronicle.kinds import Kind
from breeding.words.days import long_day, stretch, weekday_and_number
from breeding.words.language import tell
from breeding.words.months import month
from breeding.words.style import capital

LATE_DAYS = 3  # written down so many days afterwards is worth a word


class Phrase(NamedTuple):
    """A sentence as safe HTML, in the parts before, in and after its [link]."""

    before: SafeString
    lead: SafeString
    rest: SafeString

    @property
    def plain(self) -> SafeString:
        """Without the link."""
        return format_html("{}{}{}", *self)

    def followed_by(self, sentence: str, **values: object) -> "Phrase":
        """With something more after it; `sentence` has {this} where the end of it stands."""
        return self._replace(rest=_filled(tell(sentence), this=self.rest, **values))


def phrase(sentence: str, /, **values: object) -> Phrase:
    """A message in the reader's language; what stands in brackets leads to the record's page.

    The brackets are the translator's to set: "[moved] to {tank}", "nach {tank} [umgesetzt]".
    """
    before, _, other = tell(sentence).partition("[")
    lead, _, rest = other.partition("]")
    return Phrase(*(_filled(part, **values) for part in (before, lead, rest)))


def _filled(words: str, /, **values: object) -> SafeString:
    """Safe HTML of a part of a message, which is ours, and of values, which are not."""
    return format_html(words, **values) if "{" in words else mark_safe(words)  # noqa: S308


@dataclass(frozen=True)
class Told:
    """What a source says of one record.

    The lead of `words` opens the record's own page (`address`). `subject` is the animal or tank
    that it is told of. `day_words`: of a day that is not known to the day. `slip_words`: it was put
    right afterwards, and counts as little as a withdrawn one.
    """

    words: Phrase
    subject: models.Model | None = None
    address: str = ""
    note: str = ""
    day_words: str = ""
    is_of_the_year: bool = False
    picture: Photograph | None = None
    changes: Sequence[str] = ()
    slip_words: str = ""

    @property
    def lead(self) -> str:
        return self.words.lead

    @property
    def rest(self) -> str:
        return self.words.rest

    @property
    def sentence(self) -> str:
        """As it stands alone: "Moved to Bay", the first words leading to the record's page."""
        before, lead, rest = self.words
        if before:
            return self._said(Phrase(_with_capital(before), lead, rest))
        return self._said(Phrase(before, _with_capital(lead), rest))

    @property
    def after_its_subject(self) -> str:
        """As it goes on after the name: "moved to Bay"."""
        return self._said(self.words)

    def _said(self, words: Phrase) -> str:
        if not self.address:
            return words.plain
        linked = format_html('<a href="{}">{}</a>', self.address, words.lead)
        return words._replace(lead=linked).plain

    def with_its_day(self, on: datetime.date) -> "Told":
        """With the day it was, where it stands under another one."""
        return replace(self, words=self.words.followed_by("{this}, {day}", day=long_day(on)))


def _with_capital(words: SafeString) -> SafeString:
    return mark_safe(capital(words))  # noqa: S308 - it was safe with a small letter too


@dataclass(frozen=True)
class Change:
    """What was corrected in a record afterwards: field by field, by whom and when."""

    words: Sequence[str]
    by: Person | None
    at: datetime.datetime


@dataclass(frozen=True)
class Entry:
    """One dated thing. `time` is None where only the day is known."""

    kind: Kind
    on: datetime.date
    time: datetime.time | None
    told: Told
    by: Person | None = None
    written_at: datetime.datetime | None = None
    gone_words: str = ""
    changes: Sequence[Change] = ()
    put_right: str = ""  # the page that changes the record, withdraws it or brings it back

    @property
    def year(self) -> int:
        return self.on.year

    @property
    def month_words(self) -> str:
        """What it stands under within its year; nothing where not even the month is known."""
        return "" if self.told.is_of_the_year else month(self.on)

    @property
    def weekday_words(self) -> str:
        return weekday_and_number(self.on)

    @property
    def late_words(self) -> str:
        """That it was written down long after it happened."""
        if self.written_at is None or self.told.day_words:
            return ""
        written = timezone.localtime(self.written_at).date()
        if (written - self.on).days < LATE_DAYS:
            return ""
        return tell(
            "written down {stretch} later, on {day}",
            stretch=stretch(self.on, written),
            day=long_day(written),
        )


@dataclass(frozen=True)
class Telling:
    """What the sources need to tell records: whose chronicle it is, units, what ids stand for."""

    program: Program
    today: datetime.date
    me: frozenset[int] = frozenset()
    may_write: bool = False
    reads_buyers: bool = False
    names: Mapping[type[models.Model], Mapping[str, str]] = field(default_factory=dict)
    records: Mapping[tuple[type[models.Model], int], Told] = field(default_factory=dict)

    def of(self, *animals: Animal | None) -> tuple[Animal | None, list[Animal]]:
        """The one it is told of, and the others: whose chronicle it is, or else the first."""
        there = [one for one in animals if one is not None]
        mine = next((one for one in there if one.pk in self.me), there[0] if there else None)
        return mine, [one for one in there if one != mine]


def linked_name(record: Any) -> str:
    """What an animal, a tank, a buyer is called, leading to its page."""
    name = getattr(record, "name", "") or str(record)
    return format_html('<a href="{}">{}</a>', record.get_absolute_url(), name)


def withdrawn_words(record: models.Model) -> str:
    """Why, by whom and when a record was withdrawn; empty while it counts, and where it cannot be.

    Looked up on the record: a kind of record that cannot be withdrawn today may be tomorrow.
    """
    at: datetime.datetime | None = getattr(record, "withdrawn_at", None)
    if at is None:
        return ""
    by = getattr(record, "withdrawn_by", None)
    reason = getattr(record, "why_withdrawn", "") or tell("no reason was written down")
    day = long_day(timezone.localtime(at).date())
    if by:
        return tell("withdrawn: {reason} ({person}, {day})", reason=reason, person=by, day=day)
    return tell("withdrawn: {reason} ({day})", reason=reason, day=day)


def has_field(model: type[models.Model], name: str) -> bool:
    return any(one.name == name for one in model._meta.concrete_fields)
