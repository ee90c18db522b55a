"""The form for how much a kind of sign counts."""

from django import forms

from breeding.animals.models import ProfileFigure
from breeding.pairings.sign_kinds import MOST_BOOST, MOST_DAYS_BACK


class SignKindForm(forms.Form):
    """Boost, look-back, how well that is known and where it comes from."""

    boost = forms.FloatField(
        help_text=f"From 0 to {MOST_BOOST:g}. Alone, one such sign means a mating with chance "
        "1 - exp(-boost): 0.05 about 1 in 20, 0.6 about 9 in 20, 1.5 about 8 in 10.",
        widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
    )
    days_back = forms.IntegerField(
        label="Days looked back on",
        help_text=f"How many days before the sighting the mating may have been; 0 to "
        f"{MOST_DAYS_BACK}.",
    )
    certainty = forms.ChoiceField(label="How well known", choices=ProfileFigure.Certainty.choices)
    source = forms.CharField(max_length=300, required=False, help_text="Nothing: assumption.")
