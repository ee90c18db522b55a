"""How traits and what was seen of them are put right."""

import datetime
from collections.abc import Mapping
from typing import Any

from django.urls import reverse
from django.utils import timezone

from breeding.program.acts.mending import Kind, Way
from breeding.program.acts.named import bring_back_by_name, withdraw_unless_named
from breeding.program.models import Person, Program
from breeding.traits.forms import LookChangeForm, TraitForm
from breeding.traits.models import Trait, TraitLook
from breeding.traits.services import bring_back_look, change_look, change_trait
from breeding.words.days import long_day
from breeding.words.language import tell


class TraitKind(Kind[Trait]):
    key = "trait"
    model = Trait

    def called(self, record: Trait) -> str:
        return tell("the trait {trait}", trait=record)

    def crumb(self, record: Trait) -> Way:
        if record.is_withdrawn:
            return Way(tell("Traits"), reverse("traits:index"))
        return Way(str(record), record.get_absolute_url())

    def act(
        self, record: Trait, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        withdraw_unless_named(record, by=by, now=now, reason=facts["reason"])

    def return_to_count(self, record: Trait, *, by: Person, now: datetime.datetime) -> None:
        bring_back_by_name(record)

    def change_form(
        self,
        record: Trait,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> Any:
        return TraitForm(sent, instance=record)

    def change(
        self, record: Trait, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_trait(record, **facts)

    def beside_change(self, record: Trait) -> str:
        return tell("All chances follow; sheets that were issued stay as they are.")


class TraitLookKind(Kind[TraitLook]):
    key = "trait_look"
    model = TraitLook
    related = ("animal", "trait")

    def called(self, record: TraitLook) -> str:
        return tell(
            "“{seen}” of {trait} on {animal}, {day}",
            seen=record.get_what_display(),
            trait=record.trait,
            animal=record.animal,
            day=long_day(record.on),
        )

    def crumb(self, record: TraitLook) -> Way:
        return Way(str(record.animal), record.animal.get_absolute_url())

    def change_form(
        self,
        record: TraitLook,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> LookChangeForm:
        return LookChangeForm(sent, record=record)

    def change(
        self, record: TraitLook, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_look(record, today=timezone.localdate(now), **facts)

    def return_to_count(self, record: TraitLook, *, by: Person, now: datetime.datetime) -> None:
        bring_back_look(record, today=timezone.localdate(now))


KINDS = (TraitKind(), TraitLookKind())
