"""Forms of the planning room: which animals are meant."""

from typing import Any

from django import forms

from breeding.animals.models import Animal
from breeding.planning.living import HERE

MOST_ANIMALS = 120


class PairForm(forms.Form):
    """A female and a male to look at together."""

    female = forms.ModelChoiceField(Animal.objects.none(), empty_label="Choose a female")
    male = forms.ModelChoiceField(Animal.objects.none(), empty_label="Choose a male")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, sex in (("female", Animal.Sex.FEMALE), ("male", Animal.Sex.MALE)):
            self.fields[name].queryset = Animal.objects.filter(  # type: ignore[attr-defined]
                sex=sex
            ).order_by("call_name", "code")


class ListsForm(forms.Form):
    """A list of females against a list of males; nothing chosen means all that are offered."""

    female = forms.ModelMultipleChoiceField(
        Animal.objects.none(), required=False, widget=forms.CheckboxSelectMultiple, label="Females"
    )
    male = forms.ModelMultipleChoiceField(
        Animal.objects.none(), required=False, widget=forms.CheckboxSelectMultiple, label="Males"
    )
    young_too = forms.BooleanField(
        required=False, label="Offer those that are not mature yet as well"
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, sex in (("female", Animal.Sex.FEMALE), ("male", Animal.Sex.MALE)):
            self.fields[name].queryset = Animal.objects.filter(  # type: ignore[attr-defined]
                sex=sex, state__in=HERE
            ).order_by("call_name", "code")

    def clean(self) -> dict[str, Any]:
        facts = super().clean() or {}
        for name in ("female", "male"):
            chosen = facts.get(name)
            if chosen is not None and len(chosen) > MOST_ANIMALS:
                self.add_error(
                    name, f"{len(chosen)} are too many for one table; at most {MOST_ANIMALS}."
                )
        return facts
