"""How kinship that is assumed is changed, withdrawn and brought back."""

import datetime
from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from breeding.animals import revisions
from breeding.animals.models import AssumedKin
from breeding.animals.parents.assuming import bring_back_kin, change_kin
from breeding.program.acts.as_on_record import AsOnRecord
from breeding.program.acts.mending import Kind, Way
from breeding.program.models import Person, Program
from breeding.program.typed.shares import FractionField
from breeding.words.numbers import percent

LABELS = {
    AssumedKin.Degree.FULL: "full siblings",
    AssumedKin.Degree.HALF: "half siblings",
    AssumedKin.Degree.NONE: "not related",
    AssumedKin.Degree.UNKNOWN: "not known",
}


class CertaintyField(FractionField):
    """Cleans a certainty in per cent to a share above 0; nothing typed is None."""

    most, called, example = 100, "a certainty in per cent", "75"

    def __init__(self, **kwargs: Any) -> None:
        proposed: dict[str, Any] = {
            "label": "How sure, in per cent",
            "help_text": "100: for certain. Counted is what follows: 75 % sure of full siblings "
            "makes the F of their young 18.75 %.",
            "max_length": 20,
            "required": False,
        }
        super().__init__(**{**proposed, **kwargs})

    def clean(self, value: Any) -> Fraction | None:
        per_cent = super().clean(value)
        if per_cent == 0:
            raise ValidationError("0 % sure of it is not known; choose “not known” instead.")
        return None if per_cent is None else per_cent / 100


class BeliefForm(AsOnRecord):
    """What two are to each other, and how sure that is."""

    degree = forms.ChoiceField(
        choices=list(LABELS.items()), label="What they are to each other", widget=forms.RadioSelect
    )
    certainty = CertaintyField()
    note = forms.CharField(max_length=200, required=False, help_text="Who said so, say.")

    def __init__(self, *args: Any, record: AssumedKin, **kwargs: Any) -> None:
        on_record = {name: getattr(record, name) for name in ("degree", "certainty", "note")}
        sure = record.certainty
        shown = {"certainty": "" if sure is None else f"{sure * 100:.4g}"}
        super().__init__(*args, on_record=on_record, shown=shown, **kwargs)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        sure = cleaned.get("certainty")
        return cleaned | {"certainty": None if sure is None else float(sure)}


class AssumedKinKind(Kind[AssumedKin]):
    key = "assumed-kin"
    model = AssumedKin
    related = ("one", "other")

    def called(self, record: AssumedKin) -> str:
        return f"what {record.one.name} and {record.other.name} are held to be"

    def beside(self, record: AssumedKin) -> str:
        sure = f", {percent(record.certainty)} sure" if record.certainty is not None else ""
        return f"{record.get_degree_display()}{sure}"

    def lede(self, record: AssumedKin, *, program: Program, today: datetime.date) -> str:
        return (
            "It stays readable with the reason, and counts in no F any more. Where the two came "
            "together, what they are to each other is an open question again."
        )

    def crumb(self, record: AssumedKin) -> Way:
        return Way(record.one.full_name, record.one.get_absolute_url())

    def act(
        self, record: AssumedKin, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        revisions.hold()
        super().act(record, facts, by=by, now=now)
        revisions.parentage_changed()

    def return_to_count(self, record: AssumedKin, *, by: Person, now: datetime.datetime) -> None:
        bring_back_kin(record)

    def change_form(
        self,
        record: AssumedKin,
        sent: Mapping[str, Any] | None,
        files: Mapping[str, Any] | None = None,
        *,
        program: Program,
        today: datetime.date,
    ) -> BeliefForm:
        return BeliefForm(sent, record=record)

    def change(
        self, record: AssumedKin, facts: dict[str, Any], *, by: Person, now: datetime.datetime
    ) -> None:
        change_kin(record, **facts)

    def changed(self, record: AssumedKin) -> str:
        return f"{record}. Every F that rests on it follows."
