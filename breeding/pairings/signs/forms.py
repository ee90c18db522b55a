"""The form for how often a kind of sign is seen."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import ProfileFigure
from breeding.pairings.models import SignKind
from breeding.pairings.signs.kinds import SignTyped
from breeding.program.generics import Words
from breeding.program.typed.numbers import TypedFloat
from breeding.program.typed.reading import PER_CENT_SIGN


def _of_100(label: Words, help_text: Words) -> TypedFloat:
    return TypedFloat(label=label, required=False, help_text=help_text, units=PER_CENT_SIGN)


class SignKindForm(forms.Form):
    """How often it is seen, how well that is known and where it comes from."""

    after_of_100 = _of_100(
        _("Of 100 matings, seen after"),
        _("When somebody looks on the day and the two after it, and this is the strongest sign."),
    )
    without_of_100 = _of_100(
        _("Of 100 such days without a mating, seen in"),
        _("Leave both empty when it says nothing of a mating."),
    )
    certainty = forms.ChoiceField(
        label=_("How well known"), choices=ProfileFigure.Certainty.choices
    )
    source = forms.CharField(
        max_length=300, required=False, help_text=_("Left empty: an assumption."), label=_("Source")
    )

    @staticmethod
    def shown(kind: SignKind) -> dict[str, Any]:
        """What the form begins with."""
        after, without = kind.shares or (None, None)
        return {
            "after_of_100": None if after is None else round(after * 100, 6),
            "without_of_100": None if without is None else round(without * 100, 6),
            "certainty": kind.certainty,
            "source": kind.source,
        }

    @property
    def typed(self) -> SignTyped:
        facts = self.cleaned_data
        return SignTyped(
            facts["after_of_100"], facts["without_of_100"], facts["certainty"], facts["source"]
        )
