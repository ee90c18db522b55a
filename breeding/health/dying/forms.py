"""Forms of how an animal died: they clean what was typed."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from breeding.animals.typed.fields import PhotographField
from breeding.health.dying.services import ToldDeath
from breeding.health.models import Death
from breeding.program.acts.as_on_record import AsOnRecord
from breeding.program.forms import DayInput
from breeding.program.typed.names import validate_name
from breeding.words.language import tell

FIELDS = tuple(ToldDeath.__dataclass_fields__)


class _Told(forms.Form):
    """How one died; all but the cause can stay empty, and that can be “not known”."""

    cause = forms.ChoiceField(
        choices=Death.Cause.choices,
        initial=Death.Cause.UNKNOWN,
        label=_("What it died of"),
        help_text=_("Suspected, unless a laboratory said so."),
        error_messages={
            "required": _("Choose what it died of; “not known” is an answer."),
            "invalid_choice": _("“%(value)s” is not one of the choices; choose one below."),
        },
    )
    is_by_laboratory = forms.BooleanField(required=False, label=_("A laboratory said so"))
    circumstances = forms.CharField(
        max_length=1000,
        required=False,
        label=_("What happened before"),
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    found_where = forms.CharField(
        max_length=120, required=False, label=_("Found where"), validators=[validate_name]
    )
    ill_since = forms.DateField(widget=DayInput(), required=False, label=_("Ill since"))
    findings = forms.CharField(
        max_length=2000,
        required=False,
        label=_("What was found, outside and inside"),
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    examined_by = forms.CharField(
        max_length=80, required=False, label=_("Opened or looked at by"), validators=[validate_name]
    )
    photograph = PhotographField(
        required=False,
        label=_("Photograph"),
        help_text=_("JPEG, PNG or WebP; where it was taken is removed."),
    )

    def told(self) -> ToldDeath:
        """What was typed, as the service takes it."""
        return ToldDeath(**{name: self.cleaned_data[name] for name in FIELDS})


class DeathForm(_Told):
    """How an animal died."""


class DeathChangeForm(AsOnRecord, _Told):
    """How an animal died, put right."""

    without_photograph = forms.BooleanField(
        required=False, label=_("The photograph does not belong to it")
    )

    def __init__(self, *args: Any, record: Death, **kwargs: Any) -> None:
        on_record = {name: getattr(record, name) for name in FIELDS}
        super().__init__(*args, on_record=on_record, **kwargs)
        if record.photograph_id is None:
            del self.fields["without_photograph"]
        else:
            self.fields["photograph"].label = tell("Another photograph")
