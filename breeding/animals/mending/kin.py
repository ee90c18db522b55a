"""How kinship that is assumed is changed, withdrawn and brought back."""

import datetime
from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from breeding.animals import revisions
from breeding.animals.models import AssumedKin
from breeding.animals.parents.assuming import bring_back_kin, change_kin
from breeding.program.acts.as_on_record import AsOnRecord
from breeding.program.acts.mending import Kind, Way
from breeding.program.models import Person, Program
from breeding.program.typed.shares import FractionField
from breeding.words.language import message, tell
from breeding.words.numbers import percent

LABELS = {
    AssumedKin.Degree.FULL: _("full siblings"),
    AssumedKin.Degree.HALF: _("half siblings"),
    AssumedKin.Degree.NONE: _("not related"),
    AssumedKin.Degree.UNKNOWN: _("not known"),
}


class CertaintyField(FractionField):
    """Cleans a certainty in per cent to a share above 0; nothing typed is None."""

    most = 100
    refused = message(
        "“{typed}” is not a certainty in per cent; allowed is a number from 0 to {most}, "
        "such as 75."
    )

    def __init__(self, **kwargs: Any) -> None:
        proposed: dict[str, Any] = {
            "label": _("How sure, in per cent"),
            "help_text": _(
                "100: for certain. What you are less sure of counts less: 75 % sure that they are "
                "full siblings makes the F of their young 18.75 %."
            ),
            "max_length": 20,
            "required": False,
        }
        super().__init__(**{**proposed, **kwargs})

    def clean(self, value: Any) -> Fraction | None:
        per_cent = super().clean(value)
        if per_cent == 0:
            raise ValidationError(tell("0 % sure means “not known”; choose that instead."))
        return None if per_cent is None else per_cent / 100


class BeliefForm(AsOnRecord):
    """What two are to each other, and how sure that is."""

    degree = forms.ChoiceField(
        choices=list(LABELS.items()),
        label=_("What they are to each other"),
        widget=forms.RadioSelect,
    )
    certainty = CertaintyField()
    note = forms.CharField(
        max_length=200, required=False, label=_("Note"), help_text=_("Who said so, say.")
    )

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
        return tell(
            "what {one} and {other} are taken to be", one=record.one.name, other=record.other.name
        )

    def beside(self, record: AssumedKin) -> str:
        degree = record.get_degree_display()
        if record.certainty is None:
            return degree
        return tell("{degree}, {share} sure", degree=degree, share=percent(record.certainty))

    def lede(self, record: AssumedKin, *, program: Program, today: datetime.date) -> str:
        return tell(
            "It stays readable with the reason, and no longer counts in any F. If the two came "
            "together, it is an open question again what they are to each other."
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
        return tell("{kin}. Every F that rests on it changes at once.", kin=record)
