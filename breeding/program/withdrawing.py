"""What can be withdrawn: each room says once, of each kind of record, what its page says."""

import datetime
from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar, Generic, TypeVar

from django import forms
from django.db import models, transaction
from django.urls import reverse
from django.utils import timezone

from breeding.program.forms import WithdrawForm
from breeding.program.models import Person, Program, Withdrawable
from breeding.program.services import withdraw
from breeding.words.days import plain_day

AnyRecord = TypeVar("AnyRecord", bound=models.Model)
Record = TypeVar("Record", bound=Withdrawable)


@dataclass(frozen=True)
class Way:
    """A link by its words; `before` are the words that lead up to it."""

    words: str
    address: str
    before: str = ""


class AnyKind(ABC, Generic[AnyRecord]):
    """One kind of record that can be withdrawn, and all that is special about it.

    The page is the same for every kind. A room writes a class for each of its models and adds it
    in its AppConfig.ready; what it leaves out is said as for any other record.
    """

    key: ClassVar[str]  # in the address: /withdraw/sighting/12/
    model: type[AnyRecord]
    related: ClassVar[tuple[str, ...]] = ()  # rows that the words below need
    for_owners: ClassVar[bool] = False
    button: ClassVar[str] = "Withdraw it"

    def records(self) -> models.QuerySet[AnyRecord]:
        """Those that can be asked for, withdrawn ones too: they stay readable."""
        return self.model._base_manager.select_related(*self.related)

    @abstractmethod
    def called(self, record: AnyRecord) -> str:
        """In a sentence: "the pairing of Mira and Rigel"."""

    @abstractmethod
    def crumb(self, record: AnyRecord) -> Way:
        """The page that it stands on."""

    def leads_to(self, record: AnyRecord) -> str:
        """The address of the page that is shown afterwards."""
        return self.crumb(record).address

    def heading(self, record: AnyRecord) -> str:
        return f"Withdraw {self.called(record)}"

    def beside(self, record: AnyRecord) -> str:
        """What stands small beside the heading."""
        return ""

    def lede(self, record: AnyRecord, *, program: Program, today: datetime.date) -> str:
        """What withdrawing it means, said before."""
        return "It stays readable with the reason, and counts no more."

    def caution(self, record: AnyRecord, *, today: datetime.date) -> str:
        """What else to think of; empty for nothing."""
        return ""

    def instead(self, record: AnyRecord) -> Way | None:
        """What may be meant instead of withdrawing it."""
        return None

    def follows(self, record: AnyRecord) -> str:
        """What follows, in one sentence said afterwards: "Vega is free again."."""
        return ""

    def form(self, record: AnyRecord, sent: Mapping[str, Any] | None) -> forms.Form:
        return WithdrawForm(sent)

    @abstractmethod
    def withdrawn(self, record: AnyRecord) -> str:
        """When, by whom and why it was withdrawn; empty while it counts."""

    @abstractmethod
    def act(
        self, record: AnyRecord, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        """Withdraw it, by what the form gave. Raises ValidationError."""

    @transaction.atomic
    def withdraw(
        self, pk: int, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> AnyRecord:
        """The act on the record as it is now; nobody else writes it meanwhile."""
        record = self.records().select_for_update(of=("self",)).get(pk=pk)
        self.act(record, facts, by=by, now=now)
        return record


class Kind(AnyKind[Record]):
    """A kind of record that keeps by itself when, by whom and why it was withdrawn."""

    what_was_done: ClassVar[str] = "Withdrawn"

    def withdrawn(self, record: Record) -> str:
        if record.withdrawn_at is None:
            return ""
        by = f" by {record.withdrawn_by}" if record.withdrawn_by else ""
        on = clock_words(record.withdrawn_at)
        return f"{self.what_was_done} on {on}{by}: {record.withdrawn_reason}"

    def act(
        self, record: Record, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        withdraw(record, by=by, now=now, reason=facts["reason"])


_kinds: dict[str, AnyKind[Any]] = {}


def add_kinds(*kinds: AnyKind[Any]) -> None:
    """Called once by each room, in its AppConfig.ready."""
    _kinds.update({kind.key: kind for kind in kinds})


def kinds() -> list[AnyKind[Any]]:
    """Every kind that a room has added, by its key."""
    return sorted(_kinds.values(), key=lambda kind: kind.key)


def kind_named(key: str) -> AnyKind[Any] | None:
    """The kind with this key in its address, or None."""
    return _kinds.get(key)


def address_of(record: models.Model) -> str:
    """The page that withdraws this record. Raises LookupError when its kind was never added."""
    for kind in _kinds.values():
        if isinstance(record, kind.model):
            return reverse("program:withdraw", args=[kind.key, record.pk])
    raise LookupError(f"No room has said how a {record._meta.verbose_name} is withdrawn.")


def clock_words(at: datetime.datetime) -> str:
    """The day and the minute where the program is."""
    local = timezone.localtime(at)
    return f"{plain_day(local.date())}, {local:%H:%M}"
