"""The form for the figures of one profile."""

from typing import Any

from django import forms

from breeding.animals.figures import Typed, in_order, rule_of
from breeding.animals.models import Profile, ProfileFigure


class FiguresForm(forms.Form):
    """A value, how well it is known and where it comes from, for each figure of a profile."""

    def __init__(self, *args: Any, profile: Profile, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.names = [one.name for one in in_order(profile.figures.all())]
        for figure in in_order(profile.figures.all()):
            rule = rule_of(figure.name)
            shown = round(figure.value, 6)
            self.fields[f"{figure.name}_value"] = forms.FloatField(
                label=f"Value in {rule.unit}" if rule.unit else "Value",
                initial=int(shown) if shown == int(shown) else shown,
                help_text=f"Allowed: {rule.allowed}.",
                widget=forms.NumberInput(attrs={"step": "any", "inputmode": "decimal"}),
            )
            self.fields[f"{figure.name}_certainty"] = forms.ChoiceField(
                label="How well known",
                choices=ProfileFigure.Certainty.choices,
                initial=figure.certainty,
            )
            self.fields[f"{figure.name}_source"] = forms.CharField(
                label="Source",
                max_length=300,
                required=False,
                initial=figure.source,
                help_text="Nothing: assumption.",
            )
        self.kept = {one.name: one.value for one in profile.figures.all()}

    @property
    def rows(self) -> list[tuple[str, Any, Any, Any]]:
        """What each figure is called, and its three fields."""
        return [
            (
                rule_of(name).label,
                self[f"{name}_value"],
                self[f"{name}_certainty"],
                self[f"{name}_source"],
            )
            for name in self.names
        ]

    @property
    def typed(self) -> dict[str, Typed]:
        """What was typed; a value shown rounded and not touched stays exact."""
        found = {}
        for name in self.names:
            value = self.cleaned_data[f"{name}_value"]
            if value == round(self.kept[name], 6):
                value = self.kept[name]
            found[name] = Typed(
                value,
                self.cleaned_data[f"{name}_certainty"],
                self.cleaned_data[f"{name}_source"],
            )
        return found
