"""How ancestry taken, keys and twos that are one are put right, withdrawn and brought back."""

import datetime
from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from breeding.exchange.files import own_public, read_given
from breeding.exchange.forms import SaidOneChangeForm, TakenChangeForm
from breeding.exchange.keys.forms import HeldKeyWordChangeForm, KnownKeyChangeForm
from breeding.exchange.keys.heard import change_known_key
from breeding.exchange.keys.own import unsaid_words
from breeding.exchange.models import HeldKeyWord, KnownKey, SaidOne, TakenAncestry
from breeding.exchange.said_one import bring_back_one, take_back_one
from breeding.exchange.taking import bring_back_taken, withdraw_taken
from breeding.program.acts.mending import Kind, Way
from breeding.program.models import Person, Program
from breeding.words.language import tell


class TakenKind(Kind[TakenAncestry]):
    key = "taken-ancestry"
    model = TakenAncestry

    def called(self, record: TakenAncestry) -> str:
        return tell("the ancestry from {issuer}", issuer=record.issuer or record.key[:8])

    def crumb(self, record: TakenAncestry) -> Way:
        return Way(tell("Ancestry given and taken"), reverse("exchange:index"))

    def lede(self, record: TakenAncestry, *, program: Program, today: datetime.date) -> str:
        return tell(
            "Everything that came with it goes: the animals it wrote down, the parents it gave to "
            "animals of your own, and what it said became of them."
        )

    def act(
        self, record: TakenAncestry, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        withdraw_taken(record, by=by, now=now, reason=facts["reason"])

    def return_to_count(self, record: TakenAncestry, *, by: Person, now: datetime.datetime) -> None:
        bring_back_taken(record, read_given(record.content), own_public(), by=by)

    def change_form(
        self,
        record: TakenAncestry,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> forms.Form:
        return TakenChangeForm(sent, instance=record)  # type: ignore[return-value]

    def change(
        self, record: TakenAncestry, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        record.note = facts["note"]
        record.save(update_fields=["note"])


class HeldKeyWordKind(Kind[HeldKeyWord]):
    """What was heard of another's key; what this program signed of its own stays."""

    key = "key-word"
    model = HeldKeyWord

    def called(self, record: HeldKeyWord) -> str:
        return tell("the word: {word}", word=record)

    def crumb(self, record: HeldKeyWord) -> Way:
        return Way(tell("Keys"), reverse("exchange:keys"))

    def lede(self, record: HeldKeyWord, *, program: Program, today: datetime.date) -> str:
        if record.is_own:
            return unsaid_words()
        return tell("It stays readable and counts no more for files that you check and take.")

    def act(
        self, record: HeldKeyWord, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        if record.is_own:
            raise ValidationError(unsaid_words())
        super().act(record, facts, by=by, now=now)

    def change_form(
        self,
        record: HeldKeyWord,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> forms.Form:
        return HeldKeyWordChangeForm(sent, instance=record)  # type: ignore[return-value]

    def change(
        self, record: HeldKeyWord, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        record.note = facts["note"]
        record.save(update_fields=["note"])


class KnownKeyKind(Kind[KnownKey]):
    key = "known-key"
    model = KnownKey

    def called(self, record: KnownKey) -> str:
        return tell("the key of {called}", called=record.called)

    def crumb(self, record: KnownKey) -> Way:
        return Way(tell("Keys"), reverse("exchange:keys"))

    def lede(self, record: KnownKey, *, program: Program, today: datetime.date) -> str:
        return tell(
            "Files signed with it are those of a stranger again. What was taken from them stays "
            "until you withdraw it."
        )

    def change_form(
        self,
        record: KnownKey,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> forms.Form:
        on_record = {
            "told": record.fingerprint,
            "called": record.called,
            "how": record.how,
            "on": record.told_on,
            "instead_of": record.instead_of,
            "note": record.note,
        }
        return KnownKeyChangeForm(sent, on_record=on_record)

    def change(
        self, record: KnownKey, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_known_key(record, today=timezone.localdate(now), **facts)


class SaidOneKind(Kind[SaidOne]):
    key = "said-one"
    model = SaidOne
    related = ("kept", "gone")

    def called(self, record: SaidOne) -> str:
        return tell(
            "the word that {kept} and {gone} are one",
            kept=record.kept.name,
            gone=record.gone.name,
        )

    def crumb(self, record: SaidOne) -> Way:
        return Way(tell("Two that are one"), reverse("exchange:said_one"))

    def lede(self, record: SaidOne, *, program: Program, today: datetime.date) -> str:
        return tell("They are two again: young, names and parents go back to whom they were of.")

    def act(
        self, record: SaidOne, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        take_back_one(record, by=by, now=now, reason=facts["reason"])

    def return_to_count(self, record: SaidOne, *, by: Person, now: datetime.datetime) -> None:
        bring_back_one(record, by=by, now=now)

    def change_form(
        self,
        record: SaidOne,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> forms.Form:
        return SaidOneChangeForm(sent, instance=record)  # type: ignore[return-value]

    def change(
        self, record: SaidOne, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        record.reason = facts["reason"]
        record.save(update_fields=["reason"])


KINDS = (TakenKind(), HeldKeyWordKind(), KnownKeyKind(), SaidOneKind())
