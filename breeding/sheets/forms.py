"""What is chosen when a sheet is issued, shared and withdrawn."""

from django import forms

from breeding.buyers.models import ON_RECORD, Contact
from breeding.program.forms import DayInput
from breeding.program.typed.numbers import TypedWhole
from breeding.sheets.contents.receiving import MOST_HOURS
from breeding.sheets.pdf import Paper

PAPERS: list[tuple[Paper, str]] = [("a4", "A4"), ("us-letter", "US Letter")]
TREES = [(3, "three generations"), (4, "four generations"), (5, "five generations")]


class SheetForm(forms.Form):
    """For whom a sheet is issued, how the animal travels, and on what paper."""

    contact = forms.ModelChoiceField(
        queryset=Contact.objects.filter(ON_RECORD),
        required=False,
        label="For",
        empty_label="nobody in particular",
        help_text="Kept with the sheet. The name does not stand on it.",
    )
    journey_hours = TypedWhole(
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
        help_text="How others reach this program, like https://example.org. Empty: links use the "
        "address you yourself are using.",
    )
