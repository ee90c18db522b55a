"""Forms of what is decided of a young one."""

import datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from breeding.housing.stays.forms import PastDayField
from breeding.litters.models import Verdict
from breeding.program.acts.as_on_record import AsOnRecord


class VerdictForm(forms.Form):
    """What is decided, when and why."""

    decision = forms.ChoiceField(
        choices=Verdict.Decision.choices,
        widget=forms.RadioSelect,
        label=_("What is decided"),
        error_messages={"required": _("Choose what is decided.")},
    )
    reason = forms.CharField(
        max_length=200, required=False, label=_("Why"), help_text=_("A cull needs a reason.")
    )

    def __init__(self, *args: Any, today: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["on"] = PastDayField(today=today, label=_("Decided on"), initial=today)


class VerdictChangeForm(AsOnRecord, VerdictForm):
    """The same, as it is on record."""

    def __init__(self, *args: Any, record: Verdict, today: datetime.date, **kwargs: Any) -> None:
        on_record = {name: getattr(record, name) for name in ("decision", "on", "reason")}
        super().__init__(*args, on_record=on_record, today=today, **kwargs)
