"""Forms of the buyers' room; they clean what was typed and know nothing of the request."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from breeding.buyers.models import Contact
from breeding.buyers.money import AmountField, CurrencyField
from breeding.buyers.sheet_care import MOST_HOURS
from breeding.buyers.sheet_pdf import Paper
from breeding.program.forms import DayInput

PAPERS: list[tuple[Paper, str]] = [("a4", "A4"), ("us-letter", "US Letter")]
TREES = [(3, "three generations"), (4, "four generations"), (5, "five generations")]


class ContactForm(forms.ModelForm):
    """Somebody who has bought or wants to buy."""

    class Meta:
        model = Contact
        fields = ["name", "reach", "wish"]
        labels = {"reach": "How to reach them", "wish": "What they are looking for, in words"}
        widgets = {"wish": forms.Textarea(attrs={"rows": 3})}


class ReservationForm(forms.Form):
    """For whom an animal is kept, and until when."""

    contact = forms.ModelChoiceField(
        queryset=Contact.objects.all(), required=False, label="For", empty_label="somebody new"
    )
    new_name = forms.CharField(max_length=80, required=False, label="Name of somebody new")
    until = forms.DateField(
        widget=DayInput(),
        required=False,
        label="Kept until",
        help_text="Empty: until further notice.",
    )
    deposit = AmountField(help_text="Empty: none was asked for.")
    deposit_currency = CurrencyField(label="Its currency")
    deposit_paid_on = forms.DateField(
        widget=DayInput(), required=False, label="Deposit paid on", help_text="Empty: not yet."
    )
    note = forms.CharField(max_length=200, required=False)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        contact, new_name = cleaned.get("contact"), cleaned.get("new_name")
        if contact is None and not new_name and "contact" not in self.errors:
            raise ValidationError({"contact": "Choose for whom, or give the name of somebody new."})
        if contact is not None and new_name:
            raise ValidationError(
                {"new_name": f"Either {contact} or somebody new called “{new_name}”, not both."}
            )
        return cleaned


class ReservationChangeForm(forms.Form):
    """Kept longer or shorter, or the deposit came in."""

    until = forms.DateField(
        widget=DayInput(),
        required=False,
        label="Kept until",
        help_text="Empty: until further notice.",
    )
    deposit = AmountField(help_text="Empty: none was asked for.")
    deposit_currency = CurrencyField(label="Its currency")
    deposit_paid_on = forms.DateField(
        widget=DayInput(), required=False, label="Deposit paid on", help_text="Empty: not yet."
    )
    note = forms.CharField(max_length=200, required=False)


class SheetForm(forms.Form):
    """For whom a sheet is issued, how the animal travels, and on what paper."""

    contact = forms.ModelChoiceField(
        queryset=Contact.objects.all(),
        required=False,
        label="For",
        empty_label="nobody in particular",
        help_text="Kept with the sheet. The name does not stand on it.",
    )
    journey_hours = forms.IntegerField(
        min_value=0,
        max_value=MOST_HOURS,
        required=False,
        label="Hours in the bag",
        help_text="From packing to the buyer's tank; the advice on arrival follows from it.",
    )
    generations = forms.TypedChoiceField(
        choices=TREES, coerce=int, required=False, initial=3, label="The tree shows"
    )
    paper = forms.ChoiceField(choices=PAPERS, initial="a4")


class LinkForm(forms.Form):
    """Until when the link of a sheet leads to it."""

    last_day = forms.DateField(
        widget=DayInput(),
        required=False,
        label="Last day",
        help_text="Empty: until you close it.",
    )


class SharingForm(forms.Form):
    """Under which address links are handed out."""

    public_address = forms.URLField(
        max_length=200,
        required=False,
        assume_scheme="https",
        label="Public address",
        help_text="How others reach this program, like https://rays.example. Empty: links use the "
        "address you yourself are using.",
    )
