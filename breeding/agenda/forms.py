"""Answering a line of the day, and choosing how the day reaches one."""

import datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from breeding.agenda.kinds.kind import GROUPS
from breeding.agenda.lines.line import KEY_SHAPE
from breeding.agenda.models import Answer, DigestChoice
from breeding.program.acts.as_on_record import AsOnRecord
from breeding.program.forms import DayInput
from breeding.program.models import Person
from breeding.words.language import tell


class AnswerForm(forms.Form):
    """Done, or put off until a day, with a note."""

    key = forms.RegexField(KEY_SHAPE, max_length=120, widget=forms.HiddenInput)
    put_off_until = forms.DateField(required=False, widget=DayInput(), label=_("Ask again on"))
    note = forms.CharField(max_length=300, required=False, label=_("Note"))

    def __init__(self, *args: Any, today: datetime.date | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if today is not None:
            self.fields["put_off_until"].initial = today + datetime.timedelta(days=1)

    @property
    def drawn(self) -> dict[str, str]:
        """Its fields as they stand under every line, each drawn once for all of them."""
        return {name: str(self[name]) for name in ("note", "put_off_until")}


class AnswerChangeForm(AsOnRecord):
    """Done after all, or put off until another day, and why."""

    put_off_until = forms.DateField(
        required=False,
        widget=DayInput(),
        label=_("Ask again on"),
        help_text=_("Empty: it is done."),
    )
    note = forms.CharField(max_length=300, required=False, label=_("Note"))

    def __init__(self, *args: Any, record: Answer, **kwargs: Any) -> None:
        on_record = {"put_off_until": record.put_off_until, "note": record.note}
        super().__init__(*args, on_record=on_record, **kwargs)


def _groups() -> list[tuple[str, str]]:
    return [(key, tell(words)) for key, words in GROUPS.items()]


class DigestForm(forms.Form):
    """Whether somebody wants the morning digest, where, when and about what."""

    is_on = forms.BooleanField(required=False, label=_("Send me a digest in the morning"))
    email = forms.EmailField(
        required=False,
        max_length=254,
        label=_("To this e-mail address"),
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )
    hour = forms.TypedChoiceField(
        choices=[(hour, f"{hour}:00") for hour in range(24)],
        coerce=int,
        label=_("From this hour on"),
    )
    groups = forms.MultipleChoiceField(
        required=False,
        choices=_groups,
        widget=forms.CheckboxSelectMultiple,
        label=_("About"),
    )

    @staticmethod
    def as_chosen(person: Person, choice: DigestChoice | None) -> dict[str, Any]:
        """What stands in the form at first."""
        left_out = choice.left_out if choice else []
        return {
            "is_on": bool(choice and choice.is_on),
            "email": person.email,
            "hour": choice.hour if choice else 7,
            "groups": [group for group in GROUPS if group not in left_out],
        }

    @property
    def left_out(self) -> list[str]:
        return [group for group in GROUPS if group not in self.cleaned_data["groups"]]
