"""What a kind of table is: its columns, and the act that each of its rows becomes."""

import datetime
from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import Any

from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from breeding.program.models import Person, Program
from breeding.records.incoming.kinds.kept import Facts as Facts
from breeding.records.incoming.kinds.kept import KeepAll
from breeding.records.incoming.meanings import Meaning
from breeding.words.days import moment_in_figures
from breeding.words.language import message
from breeding.words.stored import stored


@dataclass(frozen=True)
class Keeping:
    """By whom and when rows are written, and what is answered to their doubts."""

    by: Person | None
    program: Program
    now: datetime.datetime
    today: datetime.date
    usual_state: str
    sure: Collection[str] = frozenset()


@dataclass(frozen=True)
class Kind:
    """One kind of table.

    keep_all: writes the rows by the service that a page would call (kept.py). in_order: by which
    rows are written one after the other. note: the meaning that takes whatever has no
    column of its own; empty where such records have no note. takes: the fields that it fills.
    """

    key: str
    one: Any
    many: Any
    number: Callable[[int], str]  # so many of them
    meanings: tuple[Meaning, ...]
    keep_all: KeepAll
    in_order: Callable[[Facts], Any] = lambda facts: 0
    note: str = "note"
    takes: tuple[str, ...] = ()

    @property
    def needed(self) -> tuple[Meaning, ...]:
        return tuple(one for one in self.meanings if one.is_needed)


BROUGHT_IN = stored(
    message("brought in from a table")
)  # why, of what comes in where a reason is asked
NOTE = Meaning(
    "note",
    _("Note"),
    ("note", "notes", "remark", "remarks", "comment", "comments", "bemerkung", "notiz"),
    pgettext_lazy("how a cell is written", "any"),
)


AN_ANIMAL = _("Animal")
A_TANK, ITS_NAME = _("Tank"), _("its name")


def animal(*words: str, label: Any = AN_ANIMAL, key: str = "animal") -> Meaning:
    """The column that says which animal a row is of."""
    return Meaning(key, label, words, _("its code, or its name"), "animal", is_needed=True)


def tank(*also: str, how: Any = ITS_NAME, is_needed: bool = True) -> Meaning:
    """The column that says which tank a row is of; also: further words by which it is known."""
    every = ("tank", "tank name", "where", *also, "aquarium", "vat", "pond", "becken")
    return Meaning("tank", A_TANK, every, how, "tank", is_needed=is_needed)


def until_now(at: datetime.datetime, keeping: Keeping) -> datetime.datetime:
    """Noon of a day without a time, or now where noon of today is still to come."""
    is_today = timezone.localtime(at).date() == keeping.today
    return min(at, keeping.now) if is_today else at


def moment_words(at: datetime.datetime) -> str:
    """As a table of ours has it: 2026-03-31 18:05."""
    return moment_in_figures(timezone.localtime(at))


def words(facts: Facts, name: str) -> str:
    """A text of the row; empty where it says nothing."""
    return str(facts.get(name) or "")
