"""Forms of the animals' room: they clean what was typed and know nothing of the request."""

import datetime
from fractions import Fraction
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal, Loan, Measurement, Photograph, Species
from breeding.animals.parents.parentage import Parents
from breeding.animals.services import parents_of
from breeding.animals.typed.choosing import AnimalChoice
from breeding.animals.typed.fields import (
    BirthField,
    ChipField,
    PhotographField,
    check_past_day,
    write_birth,
)
from breeding.program.acts.as_on_record import AsOnRecord
from breeding.program.acts.touched import ShowsRecord
from breeding.program.forms import DayInput
from breeding.program.generics import ModelForm
from breeding.program.kinds import kind_words
from breeding.program.models import Program
from breeding.program.typed.measures import LengthField, WeightField
from breeding.program.typed.numbers import typed_field
from breeding.program.typed.shares import TypedShareField
from breeding.words.language import message, tell

POSSIBLE_SIRES = 4
SPECIES_SHARES = 3


def parent_choices(sex: str) -> Any:
    """Every animal that can be a sire (not female) or a dam (not male), whatever its state."""
    opposite = Animal.Sex.FEMALE if sex == Animal.Sex.MALE else Animal.Sex.MALE
    return Animal.objects.exclude(sex=opposite).order_by("call_name", "code")


class AnimalForm(ShowsRecord, ModelForm):
    """An animal with its parents and, for a founder, its species."""

    born = BirthField(label=_("Born"))
    chip = ChipField(
        required=False,
        label=_("Chip number"),
        help_text=_("15 digits; spaces between them are fine. A reader may type it in."),
    )
    sire = AnimalChoice(
        queryset=Animal.objects.none(),
        required=False,
        label=_("Sire"),
        empty_label=_("unknown"),
    )
    dam = AnimalChoice(
        queryset=Animal.objects.none(),
        required=False,
        label=_("Dam"),
        empty_label=_("unknown"),
    )

    class Meta:
        model = Animal
        fields = [
            "call_name",
            "chip",
            "sex",
            "strain",
            "origin",
            "country",
            "markings",
            "note",
            "state",
            "state_on",
        ]
        widgets = {"state_on": DayInput(), "markings": forms.Textarea(attrs={"rows": 3})}
        labels = {"state_on": _("In this state since"), "markings": _("Markings, in words")}

    def __init__(self, *args: Any, today: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        born = self.fields["born"]
        assert isinstance(born, BirthField)  # noqa: S101  (for the type checker)
        born.today = today
        males = parent_choices(Animal.Sex.MALE)
        females = parent_choices(Animal.Sex.FEMALE)
        self.fields["strain"].empty_label = tell("none")  # type: ignore[attr-defined]
        if self.instance.pk:
            males, females = (found.exclude(pk=self.instance.pk) for found in (males, females))
        self.fields["sire"].queryset = males  # type: ignore[attr-defined]
        self.fields["dam"].queryset = females  # type: ignore[attr-defined]
        for number in range(1, POSSIBLE_SIRES + 1):
            self.fields[f"possible_sire_{number}"] = AnimalChoice(
                queryset=males,
                required=False,
                label=tell("Possible sire {number}", number=number),
                empty_label="-",
            )
            self.fields[f"possible_share_{number}"] = TypedShareField(
                label=tell("Share"), help_text=tell("1/2 or 50 %") if number == 1 else ""
            )
        for number in range(1, SPECIES_SHARES + 1):
            self.fields[f"species_{number}"] = forms.ModelChoiceField(
                queryset=Species.objects.all(),
                required=False,
                label=tell("Species {number}", number=number) if number > 1 else tell("Species"),
                empty_label=tell("unknown") if number == 1 else "-",
            )
            self.fields[f"species_share_{number}"] = TypedShareField(
                label=tell("Share"), help_text=tell("empty: all of it") if number == 1 else ""
            )
        if self.instance.pk:
            self._show_what_is_there()
            self.remember_what_is_shown()
        else:
            self.fields["state_on"].initial = today

    def _show_what_is_there(self) -> None:
        parents = parents_of(self.instance)
        self.initial["born"] = write_birth(self.instance)
        self.initial["sire"], self.initial["dam"] = parents.sire, parents.dam
        for number, (sire, share) in enumerate(parents.possible_sires, start=1):
            self.initial[f"possible_sire_{number}"] = sire
            self.initial[f"possible_share_{number}"] = share
        for number, row in enumerate(self.instance.species_shares.all(), start=1):
            self.initial[f"species_{number}"] = row.species_id
            self.initial[f"species_share_{number}"] = row.share

    def rows(self, first: str, second: str, count: int) -> list[tuple[Any, Any]]:
        """Bound pairs of fields, for the template."""
        return [(self[f"{first}_{n}"], self[f"{second}_{n}"]) for n in range(1, count + 1)]

    @property
    def possible_sire_rows(self) -> list[tuple[Any, Any]]:
        return self.rows("possible_sire", "possible_share", POSSIBLE_SIRES)

    @property
    def species_rows(self) -> list[tuple[Any, Any]]:
        return self.rows("species", "species_share", SPECIES_SHARES)

    def clean_state_on(self) -> datetime.date | None:
        on: datetime.date | None = self.cleaned_data["state_on"]
        if on is not None:
            check_past_day(on, self.today)
        return on

    def _post_clean(self) -> None:
        """The service checks the whole animal, with its parents; the form only what was typed."""

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        cleaned["possible_sires"] = tuple(
            self._pairs("possible_sire", "possible_share", POSSIBLE_SIRES)
        )
        shares: dict[Species, Fraction] = {}
        for species, share in self._pairs("species", "species_share", SPECIES_SHARES):
            if species in shares:
                raise ValidationError(
                    tell("{species} is given twice; give each species once.", species=species)
                )
            shares[species] = share
        cleaned["species_shares"] = shares
        if self.instance.pk:
            in_other_rows = ("possible_", "species_")
            self.refuse_what_was_overtaken(
                name for name in self.fields if name.startswith(in_other_rows)
            )
        return cleaned

    def _pairs(self, first: str, second: str, count: int) -> list[tuple[Any, Fraction]]:
        found = []
        for number in range(1, count + 1):
            what = self.cleaned_data.get(f"{first}_{number}")
            share = self.cleaned_data.get(f"{second}_{number}")
            if what is None and share is not None:
                self.add_error(
                    f"{first}_{number}",
                    tell("Whose share is {share}? Choose, or empty it.", share=share),
                )
            elif what is not None:
                found.append((what, share))
        given = [share for _, share in found if share is not None]
        rest = Fraction(1) - sum(given, Fraction(0))
        without = len(found) - len(given)
        if without and rest <= 0:
            self.add_error(
                f"{second}_1",
                tell("The shares given make {total} already; give each.", total=1 - rest),
            )
            return []
        return [(what, rest / without if share is None else share) for what, share in found]

    def facts(self) -> dict[str, Any]:
        """What the service wants: plain facts, parents and species shares."""
        cleaned = self.cleaned_data
        plain = {name: cleaned[name] for name in self.Meta.fields}
        return plain | {
            "born_on": cleaned["born"].on,
            "born_precision": cleaned["born"].precision,
            "parents": Parents(cleaned["sire"], cleaned["dam"], cleaned["possible_sires"]),
            "species_shares": cleaned["species_shares"],
        }

    def changed_facts(self) -> dict[str, Any]:
        """Of all that, only what was touched: the rest stays as it is on record."""
        touched, cleaned = set(self.changed_data), self.cleaned_data
        facts = {name: cleaned[name] for name in self.Meta.fields if name in touched}
        if "born" in touched:
            facts |= {"born_on": cleaned["born"].on, "born_precision": cleaned["born"].precision}
        facts |= {name: cleaned[name] for name in ("sire", "dam") if name in touched}
        for several, begins in (("possible_sires", "possible_"), ("species_shares", "species_")):
            if any(name.startswith(begins) for name in touched):
                facts[several] = cleaned[several]
        return facts


class StateForm(forms.Form):
    """Here, on loan, left or died, and since when."""

    state = forms.ChoiceField(choices=Animal.State.choices, label=_("State"))
    on = forms.DateField(widget=DayInput(), label=_("Since"))

    def __init__(self, *args: Any, today: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_on(self) -> datetime.date:
        on: datetime.date = self.cleaned_data["on"]
        check_past_day(on, self.today)
        return on


class LoanChangeForm(AsOnRecord):
    """From when to when it was away."""

    since = forms.DateField(widget=DayInput(), label=_("Away from"))
    until = forms.DateField(widget=DayInput(), label=_("Away to"))

    def __init__(self, *args: Any, record: Loan, **kwargs: Any) -> None:
        super().__init__(*args, on_record={"since": record.since, "until": record.until}, **kwargs)


MOST_GIRTH_MM, LEAST_BACK_MM, MOST_BACK_MM = 6000, 5, 1000
BACK_HOW = message(
    "How high the back stands above the ground, read from a photograph of the side beside a "
    "scale. Nobody nets or lifts {a_one} for it, and no hand comes near the tail."
)


class MeasurementForm(ShowsRecord, ModelForm):
    """Size and condition on a day; widths in the program's unit."""

    class Meta:
        model = Measurement
        formfield_callback = typed_field
        fields = ["on", "weight_g", "condition", "note"]
        field_classes = {"weight_g": WeightField}
        widgets = {"on": DayInput()}
        labels = {"on": _("Measured on"), "weight_g": _("Weight in grams")}
        help_texts = {"condition": _("1 thin, 3 ideal, 5 over-fed")}

    template_name = "animals/_measurement_form.html"
    field_order = [
        *("on", "disc_width_mm", "weight_g", "back_height_mm", "condition", "note", "girth_mm")
    ]
    lengths = ("disc_width_mm", "back_height_mm", "girth_mm")

    def __init__(self, *args: Any, program: Program, today: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        unit = program.length_unit
        self.fields["disc_width_mm"] = LengthField(
            unit=unit,
            required=False,
            label=tell("{size} in {unit}", size=kind_words().size_heading, unit=unit),
        )
        self.fields["back_height_mm"] = LengthField(
            unit=unit,
            least_mm=LEAST_BACK_MM,
            most_mm=MOST_BACK_MM,
            required=False,
            label=tell("Back height in {unit}", unit=unit),
            help_text=kind_words().fill(tell(BACK_HOW)),
        )
        self.fields["girth_mm"] = LengthField(
            unit=unit,
            most_mm=MOST_GIRTH_MM,
            required=False,
            label=tell("Girth in {unit}", unit=unit),
            help_text=tell(
                "As it was measured before: once around the body just behind the eyes. It mostly "
                "repeats the width and brings hands near the tail; the back height says more."
            ),
        )
        if program.weight_unit != "g":
            hint = tell("Or with its unit behind it: 12 {unit}.", unit=program.weight_unit)
            self.fields["weight_g"].help_text = hint
        self.fields["on"].initial = today
        self.today = today
        if self.instance.pk:
            for name in self.lengths:
                self.initial[name] = getattr(self.instance, name)
        self.order_fields(self.field_order)

    def clean(self) -> dict[str, Any]:
        """A width that is shown rounded and was not touched stays as it was measured."""
        cleaned = super().clean() or self.cleaned_data
        if self.instance.pk:
            left = self.fields.keys() - set(self.changed_data)
            cleaned |= {name: getattr(self.instance, name) for name in left}
        return cleaned

    def clean_on(self) -> datetime.date | None:
        on: datetime.date | None = self.cleaned_data["on"]
        if on is not None:
            check_past_day(on, self.today)
        return on

    def _post_clean(self) -> None:
        """The service checks the whole measurement."""


class PhotographForm(ModelForm):
    """A picture to keep; its metadata are taken out on the way in."""

    file = PhotographField(
        label=_("Picture"),
        help_text=_("JPEG, PNG or WebP. Where and with what it was taken is removed."),
    )
    as_portrait = forms.BooleanField(
        required=False, initial=True, label=_("Use it as the portrait")
    )

    class Meta:
        model = Photograph
        fields = ["taken_on", "caption", "is_drawing"]
        widgets = {"taken_on": DayInput()}
        labels = {"is_drawing": _("It is a drawing, not a photograph")}

    field_order = ["file", "taken_on", "caption", "is_drawing", "as_portrait"]


class PhotographChangeForm(ModelForm):
    """A picture on record put right: of whom it is, its day and words, and whether it stands."""

    as_portrait = forms.BooleanField(required=False, label=_("It is the portrait"))

    class Meta:
        model = Photograph
        fields = ["animal", "taken_on", "caption", "is_drawing"]
        field_classes = {"animal": AnimalChoice}
        widgets = {"taken_on": DayInput()}
        labels = {
            "animal": _("Of which animal"),
            "is_drawing": _("It is a drawing, not a photograph"),
        }

    def __init__(self, *args: Any, today: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        animals = Animal.objects.order_by("call_name", "code")
        self.fields["animal"].queryset = animals  # type: ignore[attr-defined]
        self.initial["as_portrait"] = self.instance.animal.portrait_id == self.instance.pk

    def clean_taken_on(self) -> datetime.date | None:
        on: datetime.date | None = self.cleaned_data["taken_on"]
        if on is not None:
            check_past_day(on, self.today)
        return on

    def _post_clean(self) -> None:
        """The service checks the whole picture."""
