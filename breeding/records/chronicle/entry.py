"""An entry of a chronicle: when it was, what it was, who wrote it and when, what became of it."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db import models
from django.utils import timezone
from django.utils.html import format_html

from breeding.animals.models import Animal, Photograph
from breeding.program.models import Person, Program
from breeding.records.chronicle.kinds import Kind
from breeding.words.days import long_day, stretch
from breeding.words.style import capital

LATE_DAYS = 3  # written down so many days afterwards is worth a word


@dataclass(frozen=True)
class Told:
    """What a source says of one record.

    `lead` opens the record's own page (`address`); `rest` goes on after it, as safe HTML.
    `subject` is the animal or tank that it is told of. `day_words`: of a day that is not known
    to the day. `slip_words`: it was put right afterwards, and counts as little as a withdrawn one.
    """

    lead: str
    rest: str = ""
    subject: models.Model | None = None
    address: str = ""
    note: str = ""
    day_words: str = ""
    is_of_the_year: bool = False
    picture: Photograph | None = None
    changes: Sequence[str] = ()
    slip_words: str = ""

    @property
    def sentence(self) -> str:
        """As it stands alone: "Moved to Bay", the first words leading to the record's page."""
        return self._said(capital(self.lead))

    @property
    def after_its_subject(self) -> str:
        """As it goes on after the name: "moved to Bay"."""
        return self._said(self.lead)

    def _said(self, lead: str) -> str:
        if not self.address:
            return format_html("{}{}", lead, self.rest)
        return format_html('<a href="{}">{}</a>{}', self.address, lead, self.rest)


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
        return "" if self.told.is_of_the_year else f"{self.on:%B}"

    @property
    def weekday_words(self) -> str:
        return f"{self.on:%a} {self.on.day}"

    @property
    def late_words(self) -> str:
        """That it was written down long after it happened."""
        if self.written_at is None or self.told.day_words:
            return ""
        written = timezone.localtime(self.written_at).date()
        if (written - self.on).days < LATE_DAYS:
            return ""
        return f"written down {stretch(self.on, written)} later, on {long_day(written)}"


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
    reason = getattr(record, "withdrawn_reason", "") or "no reason was written down"
    who = f"{by}, " if by else ""
    return f"withdrawn: {reason} ({who}{long_day(timezone.localtime(at).date())})"


def has_field(model: type[models.Model], name: str) -> bool:
    return any(one.name == name for one in model._meta.concrete_fields)
