"""Forms at the tank: they clean what was typed and know nothing of the request."""

import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from breeding.animals.fields import EARLIEST_YEAR
from breeding.animals.forms import AnimalChoice
from breeding.animals.models import Animal
from breeding.pairings.models import Outcome, SignKind
from breeding.pairings.readings import females_here, males_here
from breeding.pairings.severity import DEGREES
from breeding.program.forms import DayInput, MomentInput


class PairingForm(forms.Form):
    """Who is put together with whom, since when, and why in spite of kinship."""

    female = AnimalChoice(queryset=Animal.objects.none())
    male = AnimalChoice(queryset=Animal.objects.none())
    introduced_on = forms.DateField(widget=DayInput(), label="Introduced on")
    separated_on = forms.DateField(
        widget=DayInput(),
        required=False,
        label="Separated on",
        help_text="Leave empty while they are together.",
    )
    note = forms.CharField(
        max_length=1000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, today: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # An old pairing may be entered late, so animals that have left can be chosen as well.
        for name, sex in (("female", "F"), ("male", "M")):
            found = Animal.objects.filter(sex=sex).order_by("call_name", "code")
            self.fields[name].queryset = found  # type: ignore[attr-defined]
        self.fields["introduced_on"].initial = today


class SeparateForm(forms.Form):
    """When the two were taken apart."""

    on = forms.DateField(widget=DayInput(), label="Separated on")
    note = forms.CharField(
        max_length=200, required=False, label="How", help_text="The male moved, divider closed ..."
    )


class SightingForm(forms.Form):
    """Three taps: which female, what was seen, done. Everything else can stay empty."""

    female = forms.ModelChoiceField(
        queryset=Animal.objects.none(), error_messages={"required": "Choose the female."}
    )
    kind = forms.ModelChoiceField(
        queryset=SignKind.objects.all(), error_messages={"required": "Choose what you saw."}
    )
    severity = forms.TypedChoiceField(
        choices=[(str(degree.number), degree.number) for degree in DEGREES],
        coerce=int,
        empty_value=None,
        required=False,
    )
    male = AnimalChoice(
        queryset=Animal.objects.none(), required=False, empty_label="not sure, or none"
    )
    seen_at = forms.DateTimeField(
        widget=MomentInput(), required=False, label="Seen at", help_text="Leave empty for now."
    )
    note = forms.CharField(max_length=400, required=False)
    photograph = forms.FileField(
        required=False,
        widget=forms.FileInput(attrs={"accept": "image/jpeg,image/png,image/webp"}),
        help_text="JPEG, PNG or WebP; where it was taken is removed.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["female"].queryset = females_here()  # type: ignore[attr-defined]
        self.fields["male"].queryset = males_here().order_by("call_name", "code")  # type: ignore[attr-defined]


class ScanForm(forms.Form):
    """What an ultrasound scan showed."""

    on = forms.DateField(widget=DayInput(), label="Scanned on")
    positive = forms.TypedChoiceField(
        choices=[("yes", "pups seen"), ("no", "nothing seen")],
        coerce=lambda text: text == "yes",
        widget=forms.RadioSelect,
        label="What was seen",
    )
    number_seen = forms.IntegerField(
        min_value=0, max_value=50, required=False, label="How many pups"
    )
    done_by = forms.CharField(max_length=80, required=False, label="Done by")
    note = forms.CharField(max_length=400, required=False)


class OutcomeForm(forms.Form):
    """How a pregnancy, or the hope of one, ended without a birth to record."""

    kind = forms.ChoiceField(
        choices=[(kind.value, kind.label) for kind in Outcome.Kind if kind not in Outcome.BIRTHS],
        widget=forms.RadioSelect,
        label="What happened",
    )
    on = forms.DateField(widget=DayInput(), label="Known since")
    note = forms.CharField(max_length=400, required=False)


class AsOfForm(forms.Form):
    """A day to reckon on instead of today."""

    asof = forms.DateField(widget=DayInput(), label="Reckoned on")

    def __init__(self, *args: Any, today: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_asof(self) -> datetime.date:
        asof: datetime.date = self.cleaned_data["asof"]
        if asof > self.today:
            raise ValidationError(f"{asof} is still to come; reckon on today or before.")
        if asof.year < EARLIEST_YEAR:
            raise ValidationError(f"{asof} is too long ago; the earliest year is {EARLIEST_YEAR}.")
        return asof
