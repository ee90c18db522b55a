"""Forms of traits: what is believed of one, and what was seen on whom."""

import datetime
from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.animals.typed.choosing import AnimalChoice
from breeding.program.acts.as_on_record import AsOnRecord
from breeding.program.forms import DayInput
from breeding.program.generics import ModelChoiceField, ModelForm
from breeding.program.typed.names import validate_name
from breeding.program.typed.numbers import TypedWhole
from breeding.program.typed.shares import FractionField
from breeding.traits.models import LEAST_SURE, Trait, TraitLook
from breeding.words.language import message, tell

BY_EYE = (TraitLook.Seen.SHOWS, TraitLook.Seen.NOT, TraitLook.Seen.UNTOLD)
TESTED = (TraitLook.Seen.NO_COPY, TraitLook.Seen.ONE_COPY, TraitLook.Seen.TWO_COPIES)
FOUNDERS_SHARE = "5"  # per cent, proposed as an assumption


class FounderShareField(FractionField):
    """Cleans per cent to a share between 0 and 1."""

    most = 100
    refused = message(
        "“{typed}” is not a share in per cent; allowed is a number above 0 and under {most}, "
        "such as 5."
    )

    def clean(self, value: Any) -> Any:
        per_cent = super().clean(value)
        if per_cent is not None and not 0 < per_cent < self.most:
            raise ValidationError(
                tell("With 0 % or 100 % nobody could have it, or everybody; choose between.")
            )
        return None if per_cent is None else per_cent / 100


class TraitForm(ModelForm):
    """What it is called, how it is believed to be inherited, and how well that is known."""

    founder_share = FounderShareField(
        max_length=20,
        initial=FOUNDERS_SHARE,
        label=_("How common its gene is among founders, in per cent"),
        help_text=_(
            "An assumption, also for unknown parents. 5 % means: about one founder in ten has a "
            "copy. It weighs little once young were seen."
        ),
    )

    class Meta:
        model = Trait
        fields = ("name", "inheritance", "species", "certainty", "source", "founder_share", "note")
        labels = {
            "name": _("What is it called?"),
            "inheritance": _("How it is believed to be inherited"),
            "species": _("Of which species"),
            "certainty": _("How well that is known"),
            "source": _("From where"),
        }
        widgets = {
            "note": forms.Textarea(attrs={"rows": 3}),
            "inheritance": forms.RadioSelect,
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        if (record := kwargs.get("instance")) is not None and record.pk:
            share = record.founder_share * 100
            kwargs["initial"] = {"founder_share": f"{float(share):.10g}"}
        super().__init__(*args, **kwargs)
        self.fields["species"].empty_label = tell("not only of one")  # type: ignore[attr-defined]
        self.fields["inheritance"].choices = Trait.Inheritance.choices  # type: ignore[attr-defined]

    def _post_clean(self) -> None:
        """The service checks the whole trait; the form only what was typed."""


class _Seen(forms.Form):
    """What was seen, by eye or by a test, when and by whom."""

    trait = ModelChoiceField(queryset=Trait.objects.none(), label=_("Trait"), empty_label=None)
    what = forms.ChoiceField(
        label=_("What was seen"),
        choices=TraitLook.Seen.choices,
        error_messages={
            "required": _("Choose what you see."),
            "invalid_choice": _("“%(value)s” is not one of the choices; choose one below."),
        },
    )
    on = forms.DateField(widget=DayInput(), label=_("On"))
    looked_by = forms.CharField(
        max_length=80,
        required=False,
        label=_("Who looked, or which laboratory"),
        validators=[validate_name],
    )
    sure_percent = TypedWhole(
        min_value=LEAST_SURE,
        max_value=100,
        required=False,
        label=_("How sure, in per cent"),
        help_text=_("Empty: for certain. A test that is right in 98 of 100 cases: 98."),
    )
    note = forms.CharField(max_length=400, required=False, label=_("Note"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["trait"].queryset = Trait.objects.all()  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if "sure_percent" in cleaned and cleaned["sure_percent"] is None:
            cleaned["sure_percent"] = 100
        return cleaned


class LookForm(_Seen):
    """What one animal shows of a trait."""

    animal = AnimalChoice(
        queryset=Animal.objects.none(),
        label=_("Who"),
        empty_label=_("choose"),
        error_messages={"required": _("Choose who it is.")},
    )

    def __init__(self, *args: Any, today: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["animal"].queryset = Animal.objects.order_by("call_name", "code")  # type: ignore[attr-defined]
        self.fields["on"].initial = today


class LookChangeForm(AsOnRecord, _Seen):
    """The trait, what was seen, the day, by whom."""

    FIELDS = ("trait", "what", "on", "looked_by", "sure_percent", "note")

    def __init__(self, *args: Any, record: TraitLook, **kwargs: Any) -> None:
        on_record = {name: getattr(record, name) for name in self.FIELDS}
        super().__init__(*args, on_record=on_record, shown={"trait": record.trait_id}, **kwargs)
        self.fields["trait"].queryset = Trait.every.filter(  # type: ignore[attr-defined]
            pk__in=[record.trait_id, *Trait.objects.values_list("pk", flat=True)]
        )


class LitterLooksForm(forms.Form):
    """What each young of a litter shows; one left as it was is not written again."""

    on = forms.DateField(widget=DayInput(), label=_("On"))

    def __init__(
        self,
        *args: Any,
        animals: Sequence[Animal],
        known: Mapping[int, str],
        codominant: bool,
        today: datetime.date,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.animals, self.known = animals, known
        self.fields["on"].initial = today
        offered = [TraitLook.Seen.TWICE] if codominant else []
        self.choices = [(one.value, one.label) for one in (BY_EYE[0], *offered, *BY_EYE[1:])]
        for animal in animals:
            self.fields[f"seen_{animal.pk}"] = forms.ChoiceField(
                label=animal.full_name,
                choices=self.choices,
                required=False,
                initial=known.get(animal.pk, ""),
                widget=forms.RadioSelect,
                error_messages={
                    "invalid_choice": _("“%(value)s” is not one of the choices; choose one below.")
                },
            )

    @property
    def rows(self) -> list[tuple[Animal, Any]]:
        """Each young with its choices."""
        return [(animal, self[f"seen_{animal.pk}"]) for animal in self.animals]

    @property
    def changed(self) -> dict[Animal, str]:
        """What was chosen and was not on record so."""
        chosen = {one: self.cleaned_data.get(f"seen_{one.pk}", "") for one in self.animals}
        return {
            one: seen for one, seen in chosen.items() if seen and seen != self.known.get(one.pk)
        }

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if not self.errors and not self.changed:
            raise ValidationError(
                tell("Nothing is chosen that is not on record already; choose what you see.")
            )
        return cleaned
