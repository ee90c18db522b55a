"""Forms of keys: renewed, disowned, lost, told by somebody."""

import datetime
from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from breeding.exchange.models import HeldKeyWord
from breeding.program.acts.as_on_record import AsOnRecord
from breeding.program.forms import DayInput
from breeding.program.generics import ModelForm
from breeding.words.language import tell


class RenewForm(forms.Form):
    """Another key signs from now on."""

    is_stolen = forms.BooleanField(
        required=False,
        label=_("Somebody else may have the old key"),
        help_text=_("A lost backup, a stolen machine, a stranger in the program."),
    )
    since = forms.DateField(
        widget=DayInput(),
        required=False,
        label=_("Since"),
        help_text=_("What the old key signed from this day on, readers are told, is not yours."),
    )
    is_sure = forms.BooleanField(
        label=_("I know that this cannot be undone"),
        error_messages={"required": _("Tick this: a key that was given up does not come back.")},
    )

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if cleaned.get("is_stolen") and not cleaned.get("since") and "since" not in self.errors:
            self.add_error("since", tell("Say since when; the day of the last good file will do."))
        return cleaned

    @property
    def stolen_since(self) -> datetime.date | None:
        """The day from which on the old key is disowned, if so."""
        cleaned = self.cleaned_data
        return cleaned["since"] if cleaned["is_stolen"] else None


class DisownForm(forms.Form):
    """What an earlier key signs from a day on is not this program's."""

    key = forms.ChoiceField(label=_("The key"))
    since = forms.DateField(widget=DayInput(), label=_("Since"))
    is_sure = RenewForm.base_fields["is_sure"]

    def __init__(self, *args: Any, keys: Sequence[tuple[str, str]] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["key"].choices = keys  # type: ignore[attr-defined]


class LostForm(forms.Form):
    """The key that signs now stands for one that is gone."""

    key = forms.ChoiceField(label=_("The key that is lost"))

    def __init__(self, *args: Any, keys: Sequence[tuple[str, str]] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["key"].choices = keys  # type: ignore[attr-defined]


class KnowKeyForm(forms.Form):
    """A fingerprint that somebody told, whose it is, and how it was told."""

    told = forms.CharField(
        max_length=60,
        label=_("The fingerprint as it was told"),
        help_text=_("32 figures, 0 to 9 and a to f; spaces do not matter."),
    )
    called = forms.CharField(max_length=60, label=_("Whose key it is"))
    how = forms.CharField(
        max_length=100,
        label=_("How you were told"),
        help_text=_("Not by the file itself: by telephone, on their own site, on paper."),
    )
    on = forms.DateField(widget=DayInput(), label=_("Told on"))
    instead_of = forms.CharField(
        max_length=60,
        required=False,
        label=_("It stands for a lost key"),
        help_text=_("The fingerprint of that one. Empty: for none."),
    )
    note = forms.CharField(max_length=200, required=False, label=_("Note"))


class KnownKeyChangeForm(AsOnRecord, KnowKeyForm):
    """The same, as on record."""


class HeldKeyWordChangeForm(ModelForm):
    """The note beside what was heard of a key."""

    class Meta:
        model = HeldKeyWord
        fields = ["note"]
