"""Forms of the planning room: which animals are meant."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q

from breeding.animals.choosing import AnimalChoice
from breeding.animals.models import Animal
from breeding.housing.models import Tank
from breeding.pairings.queries import HERE
from breeding.planning.models import PlannedPairing
from breeding.planning.season.readiness import Candidate
from breeding.planning.season.wishes import WEIGHTS, Chosen, Wishes
from breeding.program.acts.as_on_record import AsOnRecord
from breeding.program.fields import read_whole
from breeding.program.forms import DayInput
from breeding.program.generics import ModelChoiceField, ModelMultipleChoiceField
from breeding.program.typed.numbers import TypedDecimal, TypedWhole
from breeding.program.typed.reading import PER_CENT_SIGN
from breeding.words.numbers import joined

MOST_ANIMALS = 120


class PairForm(forms.Form):
    """A female and a male to look at together."""

    female = AnimalChoice(Animal.objects.none(), empty_label="Choose a female")
    male = AnimalChoice(Animal.objects.none(), empty_label="Choose a male")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, sex in (("female", Animal.Sex.FEMALE), ("male", Animal.Sex.MALE)):
            self.fields[name].queryset = Animal.objects.filter(  # type: ignore[attr-defined]
                sex=sex
            ).order_by("call_name", "code")


class AnimalsField(ModelMultipleChoiceField):
    """Several animals; a number longer than any key is no animal, rather than a failure."""

    def clean(self, value: Any) -> Any:
        for one in value or ():
            if read_whole(str(one)) is None:
                raise ValidationError(f"“{str(one)[:40]}” is no animal of the list; choose below.")
        return super().clean(value)


class ListsForm(forms.Form):
    """A list of females against a list of males; nothing chosen means all that are offered."""

    female = AnimalsField(
        Animal.objects.none(), required=False, widget=forms.CheckboxSelectMultiple, label="Females"
    )
    male = AnimalsField(
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


def read_pair(sent: str) -> tuple[int, int] | None:
    """The keys of a female and a male, sent like 12-34; None for anything else.

    >>> read_pair("12-34"), read_pair("12")
    ((12, 34), None)
    """
    female, _, male = sent.partition("-")
    keys = read_whole(female), read_whole(male)
    return None if keys[0] is None or keys[1] is None else (keys[0], keys[1])


class PairsField(forms.MultipleChoiceField):
    """Pairs as "female-male" keys, from the buttons of the plan's own rows."""

    widget = forms.MultipleHiddenInput

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(required=False, choices=(), **kwargs)

    def clean(self, value: Any) -> Chosen:
        found = set()
        for one in value or ():
            pair = read_pair(str(one))
            if pair is None:
                raise ValidationError(f"“{str(one)[:40]}” is no pair; it is written like 12-34.")
            found.add(pair)
        return frozenset(found)


class StepSlider(forms.Widget):
    """A slider of few positions, each with its words under it; the one reckoned stands out."""

    template_name = "planning/_slider.html"
    choices: Any = ()

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        places = [float(key) for key, _ in self.choices]
        steps = [(key, words, key == str(value)) for key, words in self.choices]
        now = next((words for _, words, is_now in steps if is_now), "")
        return context | {
            "low": places[0],
            "high": places[-1],
            "step": places[1] - places[0],
            "steps": steps,
            "now": now,
        }


class WeightField(forms.TypedChoiceField):
    """One of the five positions between low F and diversity, written 0, 0.25 ... or 1."""

    widget = StepSlider

    def __init__(self, **kwargs: Any) -> None:
        choices = [(f"{weight:g}", words) for weight, words in WEIGHTS]
        super().__init__(coerce=float, choices=choices, **kwargs)

    def to_python(self, value: Any) -> str:
        """As the choices are written: `0.0` is `0`."""
        try:
            return f"{float(value):g}"
        except (TypeError, ValueError):
            return str(super().to_python(value))

    def prepare_value(self, value: Any) -> str:
        return self.to_python(value)


class SeasonPlanForm(forms.Form):
    """What is asked of the plan. Who is ready is chosen beforehand; the others say why not."""

    female = forms.MultipleChoiceField(
        required=False, widget=forms.CheckboxSelectMultiple, label="Females"
    )
    male = forms.MultipleChoiceField(
        required=False, widget=forms.CheckboxSelectMultiple, label="Males"
    )
    per_female = TypedWhole(
        min_value=1, max_value=5, initial=1, label="Litters of each female, at most"
    )
    per_male = TypedWhole(
        min_value=1, max_value=50, initial=2, required=False, label="Litters of each male, at most"
    )
    litters = TypedWhole(
        min_value=1,
        max_value=500,
        required=False,
        label="Pairings in all",
        help_text="Empty: as many as possible.",
    )
    most = TypedDecimal(
        units=PER_CENT_SIGN,
        min_value=0,
        max_value=100,
        max_digits=5,
        decimal_places=2,
        required=False,
        label="The most F you accept, in per cent",
    )
    diversity = WeightField(initial="0.5", label="What matters more")
    keep_species = forms.BooleanField(
        required=False, initial=True, label="Keep pure species pure: no new hybrids"
    )
    keep_strains = forms.BooleanField(required=False, label="Only within a strain")
    free_tanks_only = forms.BooleanField(required=False, label="No more pairings than free tanks")
    must = PairsField()
    must_not = PairsField()

    def __init__(
        self,
        *args: Any,
        females: Sequence[Candidate],
        males: Sequence[Candidate],
        free_tanks: Sequence[str],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.free_tanks = len(free_tanks)
        self.fields["free_tanks_only"].help_text = (
            f"Free today: {joined(list(free_tanks))}." if free_tanks else "No tank is free today."
        )
        for name, some in (("female", females), ("male", males)):
            field = self.fields[name]
            field.choices = [  # type: ignore[attr-defined]
                (str(one.animal.pk), _candidate_words(one)) for one in some
            ]
            field.initial = [str(one.animal.pk) for one in some if one.is_ready]

    def wishes(self) -> Wishes:
        """The cleaned answers, as the planner takes them."""
        facts = self.cleaned_data
        return Wishes(
            per_female=facts["per_female"],
            per_male=facts["per_male"],
            litters=facts["litters"],
            most=None if facts["most"] is None else float(facts["most"]) / 100,
            diversity=facts["diversity"],
            must=facts["must"],
            must_not=facts["must_not"],
            keep_species=facts["keep_species"],
            keep_strains=facts["keep_strains"],
            most_pairings=self.free_tanks if facts["free_tanks_only"] else None,
        )


def _candidate_words(one: Candidate) -> str:
    if one.is_ready:
        return one.animal.name
    return f"{one.animal.name}: {'; '.join(one.hindrances)}"


class PlanChangeForm(AsOnRecord):
    """From when on two planned animals can be put together, and where."""

    not_before = forms.DateField(widget=DayInput(), label="From")
    note = forms.CharField(max_length=400, required=False)
    field_order = ("not_before", "tank", "note")

    def __init__(self, *args: Any, record: PlannedPairing, **kwargs: Any) -> None:
        on_record = {name: getattr(record, name) for name in ("not_before", "tank", "note")}
        super().__init__(*args, on_record=on_record, **kwargs)
        self.fields["tank"] = ModelChoiceField(
            queryset=Tank.every.filter(Q(withdrawn_at__isnull=True) | Q(pk=record.tank_id)),
            required=False,
            label="Tank",
            empty_label="not said",
        )
        self.order_fields(self.field_order)
