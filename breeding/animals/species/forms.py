"""The forms of species, their figures, and strains."""

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Profile, ProfileFigure, Species, Strain
from breeding.animals.species.adding import FACTS, Start
from breeding.animals.species.figures import Typed, in_order
from breeding.animals.species.rules import rule_of
from breeding.program.acts.touched import ShowsRecord
from breeding.program.generics import ModelChoiceField, ModelForm
from breeding.program.typed.numbers import TypedFloat
from breeding.words.language import tell
from breeding.words.numbers import written


class FigureField(TypedFloat):
    """A figure's value in the unit shown; `allowed` is what errors say may be typed."""

    def __init__(self, *, allowed: str, **kwargs: Any) -> None:
        self.allowed = allowed
        super().__init__(help_text=tell("Allowed: {allowed}.", allowed=allowed), **kwargs)


class FigureFields(ShowsRecord, forms.BaseForm):
    """A value, how well it is known and where it comes from, for each of some figures."""

    def add_figures(self, figures: Iterable[ProfileFigure], length_unit: str) -> None:
        """The fields, in the order of the page; errors and labels speak in the unit."""
        self.length_unit = length_unit
        self.kept = {one.name: one for one in in_order(figures)}
        self.names = list(self.kept)
        for figure in self.kept.values():
            self._add_figure(figure)

    def _add_figure(self, figure: ProfileFigure) -> None:
        rule = rule_of(figure.name)
        unit = rule.unit_shown(self.length_unit)
        shown = rule.shown(figure.value, self.length_unit)
        self.fields[f"{figure.name}_value"] = FigureField(
            allowed=rule.allowed(self.length_unit),
            units=dict.fromkeys((unit, unit.removesuffix("s"), rule.unit), unit) if unit else None,
            label=tell("Value in {unit}", unit=unit) if unit else tell("Value"),
            initial=int(shown) if shown == int(shown) else shown,
        )
        self.fields[f"{figure.name}_certainty"] = forms.ChoiceField(
            label=tell("How well known"),
            choices=ProfileFigure.Certainty.choices,
            initial=figure.certainty,
        )
        self.fields[f"{figure.name}_source"] = forms.CharField(
            label=tell("Source"),
            max_length=300,
            required=False,
            initial=figure.source,
            help_text=tell("Left empty: an assumption."),
        )

    @property
    def rows(self) -> list[tuple[str, Any, Any, Any]]:
        """What each figure is called, and its three fields."""
        return [
            (
                rule_of(name).said,
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
        figure = written(f"{value:.10g}")
        is_left = value == rule.shown(kept.value, self.length_unit)
        return Typed(
            kept.value if is_left else rule.stored(value, self.length_unit),
            given.get("certainty", kept.certainty),
            given.get("source", kept.source),
            said=f"{figure} {rule.unit_shown(self.length_unit)}".strip(),
        )


class FiguresForm(FigureFields, forms.Form):
    """The figures of a profile, as they stand and as they shall."""

    def __init__(self, *args: Any, profile: Profile, length_unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.add_figures(profile.figures.all(), length_unit)
        self.remember_what_is_shown()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        self.refuse_what_was_overtaken(self.fields)
        return cleaned


class StartForm(forms.Form):
    """What a new species begins with."""

    start = ModelChoiceField(
        queryset=Species.objects.all(),
        required=False,
        label=_("Start from"),
        empty_label=_("a blank live-bearing fish"),
        help_text=_("Figures and words to begin with; each is changed below."),
    )


class SpeciesForm(ModelForm):
    """Names of a species, and how pages speak of its animals."""

    class Meta:
        model = Species
        fields = FACTS
        labels = {
            "accepted_name": _("Accepted name"),
            "trade_name": _("Name in the trade"),
            "kind_one": _("One of them is called a"),
            "kind_many": _("Several of them are called"),
            "size_called": _("Their size is the"),
            "has_spine": _("Its tail carries a venomous spine: pages then warn of it"),
            "law_note": _("The law, in a note"),
            "one_x": _("How sex is determined"),
            "one_x_source": _("How that is known"),
        }

    def _post_clean(self) -> None:
        """The service checks the whole species; the form only what was typed."""


class NewSpeciesForm(FigureFields, SpeciesForm):
    """A species with its figures, filled in with those it starts from."""

    def __init__(self, *args: Any, start: Start, length_unit: str, **kwargs: Any) -> None:
        kwargs["initial"] = dict(start.words)
        super().__init__(*args, **kwargs)
        taken_over = start.taken_over.items()
        self.add_figures(
            [
                ProfileFigure(
                    name=name, value=one.value, certainty=one.certainty, source=one.source
                )
                for name, one in taken_over
            ],
            length_unit,
        )
        self.remember_what_is_shown()

    @property
    def facts(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in FACTS}

    def _typed(self, name: str) -> Typed:
        """A figure with a new value has no longer the source of the one it was taken over from."""
        typed = super()._typed(name)
        is_left = {f"{name}_value", f"{name}_source"} & set(self.changed_data) != {f"{name}_value"}
        return typed if is_left else replace(typed, source="")


class StrainForm(ModelForm):
    """A strain, of which species it is, and what it looks like."""

    class Meta:
        model = Strain
        fields = ("name", "species", "description")
        labels = {"description": _("What it looks like, in words")}
        widgets = {"description": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["species"].empty_label = tell("not known, or of hybrids")  # type: ignore[attr-defined]

    def _post_clean(self) -> None:
        """The service checks the whole strain; the form only what was typed."""
