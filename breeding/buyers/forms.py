"""Forms of the buyers' room; they clean what was typed and know nothing of the request."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from breeding.buyers.models import Contact
from breeding.program.forms import DayInput

PAPERS = [("a4", "A4"), ("us-letter", "US Letter")]
JOURNEYS = [
    ("short", "a short journey"),
    ("long", "about a day or more in the bag"),
]


class ContactForm(forms.ModelForm):
    """Somebody who has bought or wants to buy."""

    class Meta:
        model = Contact
        fields = ["name", "reach", "wish"]
        labels = {"reach": "How to reach them", "wish": "What they are looking for"}
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
    note = forms.CharField(max_length=200, required=False, help_text="A deposit, for example.")

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


class SheetForm(forms.Form):
    """For whom a sheet is issued, how the animal travels, and on what paper."""

    contact = forms.ModelChoiceField(
        queryset=Contact.objects.all(),
        required=False,
        label="For",
        empty_label="nobody in particular",
        help_text="Kept with the sheet. The name does not stand on it.",
    )
    journey = forms.ChoiceField(choices=JOURNEYS, initial="short", label="How it travels")
    paper = forms.ChoiceField(choices=PAPERS, initial="a4")
