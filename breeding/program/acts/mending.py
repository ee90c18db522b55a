"""How records are put right: each room says once, of each kind, how it is changed and withdrawn."""

import datetime
from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, ClassVar, Generic, TypeVar

from django import forms
from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.urls import reverse
from django.utils import timezone
from django.utils.module_loading import import_string
from django.utils.text import capfirst

from breeding.program.forms import WithdrawForm
from breeding.program.models import Person, Program, Withdrawable
from breeding.program.problems.doubts import Answers
from breeding.program.services import bring_back, withdraw
from breeding.words.days import moment_words
from breeding.words.language import message, tell

AnyRecord = TypeVar("AnyRecord", bound=models.Model)
Record = TypeVar("Record", bound=Withdrawable)


@dataclass(frozen=True)
class Way:
    """A link by its words; `before` are the words that lead up to it."""

    words: str
    address: str
    before: str = ""


class AnyKind(ABC, Generic[AnyRecord]):
    """One kind of record that can be put right, and all that is special about it.

    The pages that change it, withdraw it and bring it back are the same for every kind. A room
    writes a class for each of its models and names them in its AppConfig.ready; what it leaves out
    is said as for any other record. Words that stand in the class are messages and said when
    somebody reads them; what a method gives is said already.
    """

    key: ClassVar[str]  # in the address: /withdraw/sighting/12/
    model: type[AnyRecord]
    related: ClassVar[tuple[str, ...]] = ()  # rows that the words below need
    for_owners: ClassVar[bool] = False
    button: ClassVar[str] = message("Withdraw it")

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
        return tell("Withdraw {record}", record=self.called(record))

    def beside(self, record: AnyRecord) -> str:
        """What stands small beside the heading."""
        return ""

    def lede(self, record: AnyRecord, *, program: Program, today: datetime.date) -> str:
        """What withdrawing it means, said before."""
        return tell("It stays readable with the reason, and no longer counts.")

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
        self,
        pk: int,
        facts: dict[str, Any],
        *,
        by: Person,
        now: datetime.datetime,
        answers: Answers | None = None,
    ) -> AnyRecord:
        """The act on the record as it is now; nobody else writes it meanwhile."""
        record = self.locked(pk)
        self.act(record, facts, by=by, now=now)
        self.ask_after(record, answers or Answers(), on=timezone.localdate(now))
        return record

    def ask_after(self, record: AnyRecord, answers: Answers, *, on: datetime.date) -> None:
        """Ask of what follows from the record as it stands now: withdrawn, back or changed.

        Nothing stays written until it is answered. Raises DoubtError.
        """

    def locked(self, pk: int) -> AnyRecord:
        """The record as it is now; nobody else writes it until this transaction ends."""
        return self.records().select_for_update(of=("self",)).get(pk=pk)

    # ------------------------------------------------------------------ brought back

    def may_come_back(self, record: AnyRecord) -> bool:
        """Whether one that was withdrawn can count again at all."""
        return False

    def comes_back_with(self, record: AnyRecord) -> Way | None:
        """Where one that does not come back by itself is brought back with what it went with."""
        asked = (find(record) for find in _went_with.get(self.model, ()))
        whole = next((one for one in asked if one is not None), None)
        if whole is None:
            return None
        return Way(
            tell("bring back {record}", record=whole),
            address_of(whole),
            before=tell("It went with more than itself:"),
        )

    def return_to_count(self, record: AnyRecord, *, by: Person, now: datetime.datetime) -> None:
        """Let it count again. Raises ValidationError naming what has taken its place."""
        raise ValidationError(
            tell("{record} cannot be brought back.", record=capfirst(self.called(record)))
        )

    def returns(self, record: AnyRecord) -> str:
        """What follows, in one sentence said afterwards."""
        return ""

    @transaction.atomic
    def bring_back(
        self, pk: int, *, by: Person, now: datetime.datetime, answers: Answers | None = None
    ) -> AnyRecord:
        record = self.locked(pk)
        if not self.withdrawn(record):
            raise ValidationError(
                tell("{record} counts already.", record=capfirst(self.called(record)))
            )
        if way := self.comes_back_with(record):
            raise ValidationError(
                tell(
                    "{before} {way}, and this comes back with it.", before=way.before, way=way.words
                )
            )
        self.return_to_count(record, by=by, now=now)
        self.ask_after(record, answers or Answers(), on=timezone.localdate(now))
        return record

    # ------------------------------------------------------------------ changed

    def own_change_page(self, record: AnyRecord) -> str:
        """The address of a page of its own that changes it; empty: the common page does."""
        return ""

    def change_form(
        self,
        record: AnyRecord,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> forms.Form | None:
        """The form, filled in with what is on record; None: it is withdrawn, never changed."""
        return None

    def change(
        self, record: AnyRecord, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        """Write what the form gave onto the locked record. Raises ValidationError by field."""
        raise NotImplementedError(f"{type(self).__name__} has a form and does not say how it acts.")

    def changed(self, record: AnyRecord) -> str:
        """What follows, in one sentence said afterwards."""
        return ""

    def beside_change(self, record: AnyRecord) -> str:
        """What to know before it is changed: what else follows. Empty for nothing."""
        return ""


class Kind(AnyKind[Record]):
    """A kind of record that keeps by itself when, by whom and why it was withdrawn."""

    what_was_done: ClassVar[str] = message("Withdrawn")

    def withdrawn(self, record: Record) -> str:
        if record.withdrawn_at is None:
            return ""
        done, on = tell(self.what_was_done), clock_words(record.withdrawn_at)
        if record.withdrawn_by is None:
            return tell("{done} on {at}: {reason}", done=done, at=on, reason=record.why_withdrawn)
        return tell(
            "{done} on {at} by {person}: {reason}",
            done=done,
            at=on,
            person=record.withdrawn_by,
            reason=record.why_withdrawn,
        )

    def act(
        self, record: Record, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        withdraw(record, by=by, now=now, reason=facts["reason"])

    def may_come_back(self, record: Record) -> bool:
        return True

    def return_to_count(self, record: Record, *, by: Person, now: datetime.datetime) -> None:
        bring_back(record)


_places: list[str] = []
_went_with: dict[type[models.Model], list[Callable[[Any], models.Model | None]]] = {}


def add_whole(model: type[models.Model], find: Callable[[Any], models.Model | None]) -> None:
    """Called once by a room above, in its AppConfig.ready: with what a withdrawn record went.

    `find` gives the withdrawn record that brings it back, or None when it went by itself.
    """
    _went_with.setdefault(model, []).append(find)


def add_kinds(place: str) -> None:
    """Called by each room, in its AppConfig.ready: the dotted name of the kinds it has.

    They are read once the first is asked for: a server that nobody visits puts nothing right.
    """
    _places.append(place)


@lru_cache(maxsize=1)
def _kinds() -> Mapping[str, AnyKind[Any]]:
    return {kind.key: kind for place in _places for kind in import_string(place)}


@lru_cache(maxsize=1)
def _kinds_of_models() -> Mapping[type[models.Model], AnyKind[Any]]:
    """Of each model the first that a room has added."""
    return {kind.model: kind for kind in reversed(list(_kinds().values()))}


def kinds() -> list[AnyKind[Any]]:
    """Every kind that a room has added, by its key."""
    return sorted(_kinds().values(), key=lambda kind: kind.key)


def kind_named(key: str) -> AnyKind[Any] | None:
    """The kind with this key in its address, or None."""
    return _kinds().get(key)


def kind_of(record: models.Model) -> AnyKind[Any] | None:
    """The kind that this record is of, or None when no room has added it."""
    return kind_of_model(type(record))


def kind_of_model(model: type[models.Model]) -> AnyKind[Any] | None:
    """The kind of all records of a model, or None when no room has added it."""
    return _kinds_of_models().get(model)


def address_of(record: models.Model, route: str = "program:withdraw") -> str:
    """The page that withdraws this record. Raises LookupError when its kind was never added."""
    kind = kind_of(record)
    if kind is None:
        raise LookupError(f"No room has said how a {record._meta.verbose_name} is withdrawn.")
    return reverse(route, args=[kind.key, record.pk])


def change_address_of(record: models.Model) -> str:
    """The page that changes this record; empty when none does."""
    kind = kind_of(record)
    if kind is None:
        return ""
    own = kind.own_change_page(record)
    can_be_changed = type(kind).change_form is not AnyKind.change_form
    return own or (address_of(record, "program:change") if can_be_changed else "")


def put_right_address_of(record: models.Model) -> str:
    """Where a record is put right, found without a query: changed, else withdrawn; or empty."""
    kind = kind_of(record)
    if kind is None:
        return ""
    how = type(kind)
    changes = (how.change_form, how.own_change_page) != (
        AnyKind.change_form,
        AnyKind.own_change_page,
    )
    is_gone = isinstance(record, Withdrawable) and record.is_withdrawn
    return address_of(record, "program:change" if changes and not is_gone else "program:withdraw")


def clock_words(at: datetime.datetime) -> str:
    """The day and the minute where the program is."""
    return moment_words(timezone.localtime(at))
