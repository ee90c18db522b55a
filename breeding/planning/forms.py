"""Forms of the planning room: which animals are meant."""

from collections.abc import Collection, Mapping, Sequence
from fractions import Fraction
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils.html import format_html
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from breeding.animals.models import Animal
from breeding.animals.parents.unknown import DEFAULT
from breeding.animals.typed.choosing import AnimalChoice
from breeding.housing.models import Tank
from breeding.pairings.queries import HERE
from breeding.planning.models import PlannedPairing
from breeding.planning.next_year.size import Bearable
from breeding.planning.season.readiness import Candidate
from breeding.planning.season.wishes import (
    CAUTIOUS,
    FIGURES,
    UNKNOWN_KIN,
    WEIGHTS,
    Chosen,
    Wishes,
)
from breeding.planning.trait_form import ToldChoice, TraitWishForm
from breeding.program.acts.as_on_record import AsOnRecord
from breeding.program.fields import read_whole
from breeding.program.forms import DayInput
from breeding.program.generics import ModelChoiceField, ModelMultipleChoiceField
from breeding.program.templatetags.explained import explained
from breeding.program.typed.numbers import TypedDecimal, TypedWhole
from breeding.program.typed.reading import PER_CENT_SIGN
from breeding.words.language import tell
from breeding.words.numbers import joined, percent

MOST_ANIMALS = 120
MOST_LISTED = 80  # females and males that a form lists by itself; more are listed when asked for
LISTS = frozenset({"female", "male", "all"})  # what of an address asks for that


class PairForm(forms.Form):
    """A female and a male to look at together."""

    female = AnimalChoice(
        Animal.objects.none(), label=_("Female"), empty_label=_("Choose a female")
    )
    male = AnimalChoice(Animal.objects.none(), label=_("Male"), empty_label=_("Choose a male"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, sex in (("female", Animal.Sex.FEMALE), ("male", Animal.Sex.MALE)):
            self.fields[name].queryset = Animal.objects.filter(  # type: ignore[attr-defined]
                sex=sex
            ).order_by("call_name", "code")


class TrialForm(forms.Form):
    """Whom a change on paper is about: of the living those that are not gone on paper."""

    female = AnimalChoice(Animal.objects.none(), label=_("Dam"), empty_label=_("Choose a female"))
    male = AnimalChoice(Animal.objects.none(), label=_("Sire"), empty_label=_("Choose a male"))
    animal = AnimalChoice(
        Animal.objects.none(), label=_("Animal"), empty_label=_("Choose an animal")
    )

    def __init__(self, *args: Any, gone: Collection[int], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        here = Animal.objects.filter(state__in=HERE).exclude(pk__in=gone)
        here = here.order_by("call_name", "code")
        for name, some in (
            ("female", here.filter(sex=Animal.Sex.FEMALE)),
            ("male", here.filter(sex=Animal.Sex.MALE)),
            ("animal", here),
        ):
            self.fields[name].queryset = some  # type: ignore[attr-defined]

    def key_of(self, name: str, sent: str) -> str:
        """The number of the animal that was sent, or named. Raises ValidationError."""
        self[name]  # now it is known whether there are so many that one writes a name
        field = self.fields[name]
        if not getattr(field, "is_typed", False) and read_whole(sent) is not None:
            return sent
        return str(field.clean(sent).pk)


class AnimalsField(ModelMultipleChoiceField):
    """Several animals; a number longer than any key is no animal, rather than a failure."""

    def clean(self, value: Any) -> Any:
        for one in value or ():
            if read_whole(str(one)) is None:
                raise ValidationError(
                    tell(
                        "“{typed}” is not an animal of the list; choose below.", typed=str(one)[:40]
                    )
                )
        return super().clean(value)


class ListsForm(forms.Form):
    """A list of females against a list of males; nothing chosen means all that are offered."""

    female = AnimalsField(
        Animal.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label=_("Females"),
    )
    male = AnimalsField(
        Animal.objects.none(), required=False, widget=forms.CheckboxSelectMultiple, label=_("Males")
    )
    young_too = forms.BooleanField(
        required=False, label=_("Offer those that are not mature yet as well")
    )

    def __init__(self, *args: Any, is_listed: bool = True, **kwargs: Any) -> None:
        """is_listed: animals are chosen in the form; else nobody is."""
        super().__init__(*args, **kwargs)
        self.is_listed = is_listed
        for name, sex in (("female", Animal.Sex.FEMALE), ("male", Animal.Sex.MALE)):
            if not is_listed:
                del self.fields[name]
                continue
            self.fields[name].queryset = Animal.objects.filter(  # type: ignore[attr-defined]
                sex=sex, state__in=HERE
            ).order_by("call_name", "code")

    def clean(self) -> dict[str, Any]:
        facts = super().clean() or {}
        for name in ("female", "male"):
            chosen = facts.get(name)
            if chosen is not None and len(chosen) > MOST_ANIMALS:
                self.add_error(
                    name,
                    tell(
                        "{number} are too many for one table; at most {most} fit.",
                        number=len(chosen),
                        most=MOST_ANIMALS,
                    ),
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
                raise ValidationError(
                    tell("“{typed}” is not a pair; it is written like 12-34.", typed=str(one)[:40])
                )
            found.add(pair)
        return frozenset(found)


class StepSlider(forms.Widget):
    """A slider of few positions, each with its words under it; the one reckoned stands out."""

    template_name = "planning/_slider.html"
    choices: Any = ()

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        places = [float(key) for key, _ in self.choices]
        steps = [(key, tell(words), key == str(value)) for key, words in self.choices]
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


class SeasonPlanForm(TraitWishForm):
    """What is asked of the plan. Who is ready is chosen beforehand; the others say why not."""

    female = forms.MultipleChoiceField(
        required=False, widget=forms.CheckboxSelectMultiple, label=_("Females")
    )
    male = forms.MultipleChoiceField(
        required=False, widget=forms.CheckboxSelectMultiple, label=_("Males")
    )
    per_female = TypedWhole(
        min_value=1, max_value=5, initial=1, label=_("Litters of each female, at most")
    )
    per_male = TypedWhole(
        min_value=1,
        max_value=50,
        initial=2,
        required=False,
        label=_("Litters of each male, at most"),
    )
    litters = TypedWhole(
        min_value=1,
        max_value=500,
        required=False,
        label=_("Pairings in all"),
        help_text=_("Empty: as many as the next wish allows."),
    )
    most = TypedDecimal(
        units=PER_CENT_SIGN,
        min_value=0,
        max_value=100,
        max_digits=5,
        decimal_places=2,
        required=False,
        label=_("The most F you accept, in per cent"),
        help_text=_("Empty: only what is ticked next."),
    )
    no_reason = forms.BooleanField(
        required=False, initial=True, label=_("No pair for which a reason has to be written")
    )
    diversity = WeightField(initial="0.5", label=_("What matters more"))
    figure = ToldChoice(
        FIGURES,
        initial=CAUTIOUS,
        label=_("Where nobody knows whether ancestors of the two are kin"),
    )
    unknown_kin = ToldChoice(
        [(str(kinship), words) for kinship, words in UNKNOWN_KIN],
        initial=str(DEFAULT),
        label=_("How near kin two bought animals of one seller may be"),
    )
    keep_species = forms.BooleanField(
        required=False, initial=True, label=_("Keep pure species pure: no new hybrids")
    )
    keep_strains = forms.BooleanField(required=False, label=_("Only within a strain"))
    free_tanks_only = forms.BooleanField(
        required=False, label=_("No more pairings than free tanks")
    )
    bearable_only = forms.BooleanField(
        required=False,
        initial=True,
        label=_("No more pairings than tanks, buyers and the program bear"),
    )
    must = PairsField()
    must_not = PairsField()
    field_order = (
        *("per_female", "per_male", "litters", "most", "no_reason", "diversity"),
        *("figure", "unknown_kin", "keep_species", "keep_strains", "free_tanks_only"),
        *("bearable_only", "female", "male"),
        *TraitWishForm.base_fields,  # last, so that what sends them is beside them
    )

    def __init__(
        self,
        *args: Any,
        females: Sequence[Candidate],
        males: Sequence[Candidate],
        free_tanks: Sequence[str],
        chosen: Collection[int],
        bears: Bearable,
        needs_reason: float,
        planned: Mapping[int, str],
        is_listed: bool = True,
        **kwargs: Any,
    ) -> None:
        """is_listed: whom to pair is chosen in the form; else `chosen` are paired."""
        super().__init__(*args, **kwargs)
        self.bears, self.needs_reason = bears, needs_reason
        self.is_listed, self.usual = is_listed, frozenset(chosen)
        self.fields["no_reason"].help_text = tell(
            "That is F of {share} or more, as the settings of the program say.",
            share=percent(needs_reason),
        )
        self.fields["figure"].help_text = format_html(
            "{} {}",
            tell("It decides which pairs are taken; the F that is shown stays as it is."),
            explained("unknown-kin"),
        )
        self.fields["unknown_kin"].help_text = format_html(
            "{} {}",
            tell(
                "An assumption, for those of whom you have said nothing yet. What you know of two "
                "that came together is written down where it is said how they came."
            ),
            explained("unknown-kin"),
        )
        if bears.words:
            self.fields["bearable_only"].help_text = " ".join(bears.words)
        self.free_tanks = len(free_tanks)
        self.fields["free_tanks_only"].help_text = (
            tell("Free today: {tanks}.", tanks=joined(list(free_tanks)))
            if free_tanks
            else tell("No tank is free today.")
        )
        for name, some in (("female", females), ("male", males)):
            if not is_listed:
                del self.fields[name]
                continue
            field = self.fields[name]
            field.choices = [  # type: ignore[attr-defined]
                (str(one.animal.pk), _candidate_words(one, planned)) for one in some
            ]
            field.initial = [str(one.animal.pk) for one in some if one.animal.pk in chosen]

    def ask(self, wishes: Mapping[str, Any]) -> None:
        """From now on it asks for these; until then its fields say the usual ones."""
        self.is_bound, self.data = True, wishes

    def is_chosen(self, one: Candidate) -> bool:
        """Whether it is to be paired; asked once the form is valid."""
        name = "female" if one.animal.sex == Animal.Sex.FEMALE else "male"
        if name not in self.fields:
            return one.animal.pk in self.usual
        return str(one.animal.pk) in self.cleaned_data[name]

    def wishes(self) -> Wishes:
        """The cleaned answers, as the planner takes them."""
        facts = self.cleaned_data
        room = [self.free_tanks] if facts["free_tanks_only"] else []
        if facts["bearable_only"] and facts["litters"] is None and self.bears.number is not None:
            room.append(self.bears.number)
        return Wishes(
            per_female=facts["per_female"],
            per_male=facts["per_male"],
            litters=facts["litters"],
            most=None if facts["most"] is None else float(facts["most"]) / 100,
            below=self.needs_reason if facts["no_reason"] else None,
            diversity=facts["diversity"],
            must=facts["must"],
            must_not=facts["must_not"],
            keep_species=facts["keep_species"],
            keep_strains=facts["keep_strains"],
            figure=facts["figure"],
            unknown_kin=Fraction(facts["unknown_kin"]),
            trait=self.trait_wish,
            most_pairings=min(room, default=None),
            is_by_tanks=bool(facts["free_tanks_only"]) and min(room) == self.free_tanks,
        )


def _candidate_words(one: Candidate, planned: Mapping[int, str]) -> str:
    """planned: of some with whom they are planned already, by their keys."""
    against = list(one.against)
    if one.animal.pk in planned:
        against.insert(0, tell("is planned already {said}", said=planned[one.animal.pk]))
    if not against:
        return one.animal.name
    return tell("{animal}: {reasons}", animal=one.animal.name, reasons="; ".join(against))


class PlanChangeForm(AsOnRecord):
    """From when on two planned animals can be put together, and where."""

    not_before = forms.DateField(widget=DayInput(), label=pgettext_lazy("the first day", "From"))
    note = forms.CharField(max_length=400, required=False, label=_("Note"))
    field_order = ("not_before", "tank", "note")

    def __init__(self, *args: Any, record: PlannedPairing, **kwargs: Any) -> None:
        on_record = {name: getattr(record, name) for name in ("not_before", "tank", "note")}
        super().__init__(*args, on_record=on_record, **kwargs)
        self.fields["tank"] = ModelChoiceField(
            queryset=Tank.every.filter(Q(withdrawn_at__isnull=True) | Q(pk=record.tank_id)),
            required=False,
            label=tell("Tank"),
            empty_label=tell("not said"),
        )
        self.order_fields(self.field_order)
