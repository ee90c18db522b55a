"""The form for the figures of one profile."""

from typing import Any

from django import forms

from breeding.animals.models import Profile, ProfileFigure
from breeding.animals.species.figures import Typed, in_order, rule_of
from breeding.program.acts.touched import ShowsRecord
from breeding.program.typed.numbers import TypedFloat


class FigureField(TypedFloat):
    """A figure's value in the unit shown; `allowed` is what errors say may be typed."""

    def __init__(self, *, allowed: str, **kwargs: Any) -> None:
        self.allowed = allowed
        super().__init__(help_text=f"Allowed: {allowed}.", **kwargs)


class FiguresForm(ShowsRecord, forms.Form):
    """A value, how well it is known and where it comes from, for each figure of a profile."""

    def __init__(self, *args: Any, profile: Profile, length_unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.length_unit = length_unit
        self.names = [one.name for one in in_order(profile.figures.all())]
        for figure in in_order(profile.figures.all()):
            rule = rule_of(figure.name)
            unit = rule.unit_shown(length_unit)
            shown = rule.shown(figure.value, length_unit)
            self.fields[f"{figure.name}_value"] = FigureField(
                allowed=rule.allowed(length_unit),
                units=dict.fromkeys((unit, unit.removesuffix("s")), unit) if unit else None,
                label=f"Value in {unit}" if unit else "Value",
                initial=int(shown) if shown == int(shown) else shown,
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
        self.kept = {one.name: one for one in profile.figures.all()}
        self.remember_what_is_shown()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        self.refuse_what_was_overtaken(self.fields)
        return cleaned

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
        """The figures that were touched; a value shown rounded and not touched stays exact."""
        touched = {name.rpartition("_")[0] for name in self.changed_data}
        return {name: self._typed(name) for name in self.names if name in touched}

    def _typed(self, name: str) -> Typed:
        kept, rule = self.kept[name], rule_of(name)
        given = {
            part: self.cleaned_data[f"{name}_{part}"]
            for part in ("value", "certainty", "source")
            if f"{name}_{part}" in self.changed_data
        }
        value = given.get("value", rule.shown(kept.value, self.length_unit))
        is_left = value == rule.shown(kept.value, self.length_unit)
        return Typed(
            kept.value if is_left else rule.stored(value, self.length_unit),
            given.get("certainty", kept.certainty),
            given.get("source", kept.source),
            said=f"{value:.10g} {rule.unit_shown(self.length_unit)}".strip(),
        )
