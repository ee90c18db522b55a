"""What is chosen when a sheet is issued, shared and withdrawn."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from breeding.buyers.models import ON_RECORD, Contact
from breeding.program.forms import DayInput
from breeding.program.language.forms import buyers_or_one
from breeding.program.typed.numbers import TypedWhole
from breeding.sheets.contents.receiving import MOST_HOURS
from breeding.sheets.pdf import Paper

PAPERS: list[tuple[Paper, Any]] = [("a4", "A4"), ("us-letter", _("US Letter"))]
TREES = [(3, _("three generations")), (4, _("four generations")), (5, _("five generations"))]


class SheetForm(forms.Form):
    """For whom a sheet is issued, how the animal travels, and on what paper."""

    contact = forms.ModelChoiceField(
        queryset=Contact.objects.filter(ON_RECORD),
        required=False,
        label=pgettext_lazy("for whom a sheet is", "For"),
        empty_label=_("nobody in particular"),
        help_text=_("Kept with the sheet. The name does not stand on it."),
    )
    journey_hours = TypedWhole(
        min_value=0,
        max_value=MOST_HOURS,
        required=False,
        label=_("Hours in the bag"),
        help_text=_("From packing to the buyer's tank; the advice on arrival follows from it."),
    )
    generations = forms.TypedChoiceField(
        choices=TREES, coerce=int, required=False, initial=3, label=_("The tree shows")
    )
    paper = forms.ChoiceField(choices=PAPERS, initial="a4", label=_("Paper"))
    language = forms.ChoiceField(choices=buyers_or_one, required=False, label=_("Language"))
    with_ancestry = forms.BooleanField(
        required=False,
        initial=True,
        label=_("With its ancestry as data"),
        help_text=_("For the buyer's program: codes, parents and species; no people, no places."),
    )


class LinkForm(forms.Form):
    """Until when the link of a sheet leads to it."""

    last_day = forms.DateField(
        widget=DayInput(),
        required=False,
        label=_("Last day"),
        help_text=_("Empty: until you close it."),
    )


class SharingForm(forms.Form):
    """Under which address links are handed out."""

    public_address = forms.URLField(
        max_length=200,
        required=False,
        assume_scheme="https",
        label=_("Public address"),
        help_text=_(
            "How others reach this program, like https://example.org. Empty: links use the "
            "address you yourself are using."
        ),
    )
