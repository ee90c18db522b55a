"""Answering a line of the day."""

import datetime
from typing import Any

from django import forms

from breeding.program.forms import DayInput


class AnswerForm(forms.Form):
    """Done, or put off until a day, with a note."""

    key = forms.RegexField(r"[a-z_]+:[0-9a-z:-]+", max_length=120, widget=forms.HiddenInput)
    put_off_until = forms.DateField(required=False, widget=DayInput(), label="Ask again on")
    note = forms.CharField(max_length=300, required=False, label="Because")

    def __init__(self, *args: Any, today: datetime.date | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if today is not None:
            self.fields["put_off_until"].initial = today + datetime.timedelta(days=1)
