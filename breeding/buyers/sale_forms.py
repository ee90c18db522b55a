"""Forms of wishes, hand-overs, sales pages and papers of origin; they clean what was typed."""

import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from breeding.animals.models import Species, Strain
from breeding.buyers.models import (
    STANDING,
    Contact,
    HandOver,
    OriginPaper,
    Reservation,
    SalesPage,
    SourceCode,
    Wish,
)
from breeding.buyers.money import AmountField, CurrencyField
from breeding.buyers.sale_models import MOST_HOURS
from breeding.litters.models import Litter, Pup
from breeding.litters.readings import PupReading
from breeding.program.fields import read_whole
from breeding.program.forms import DayInput, LengthField
from breeding.program.models import Program
from breeding.words.days import long_day


class WishForm(forms.Form):
    """What somebody waits for; what is left open may be any."""

    species = forms.ModelChoiceField(
        queryset=Species.objects.all(), required=False, empty_label="any"
    )
    strain = forms.ModelChoiceField(
        queryset=Strain.objects.all(), required=False, empty_label="any"
    )
    sex = forms.ChoiceField(choices=Wish.Sex.choices, required=False)
    kind = forms.ChoiceField(choices=Wish.Kind.choices, required=False, label="Pure or hybrid")
    wished_on = forms.DateField(
        widget=DayInput(), label="Waits since", help_text="The oldest wish comes first."
    )
    note = forms.CharField(max_length=200, required=False)

    def __init__(self, *args: Any, program: Program, today: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        unit = program.length_unit
        self.fields["least_disc_width_mm"] = LengthField(
            unit=unit, required=False, label=f"At least this wide ({unit}, disc width)"
        )
        self.order_fields(
            ["species", "strain", "sex", "kind", "least_disc_width_mm", "wished_on", "note"]
        )

    def clean_wished_on(self) -> datetime.date:
        wished_on: datetime.date = self.cleaned_data["wished_on"]
        if wished_on > self.today:
            raise ValidationError(f"{long_day(wished_on)} is still to come; nobody waits yet.")
        return wished_on


class HandOverForm(forms.Form):
    """To whom an animal goes, when, how, and for how much."""

    contact = forms.ModelChoiceField(queryset=Contact.objects.all(), label="To")
    on = forms.DateField(widget=DayInput(), label="On")
    transport = forms.ChoiceField(choices=HandOver.Transport.choices)
    hours_expected = forms.IntegerField(
        min_value=0,
        max_value=MOST_HOURS,
        required=False,
        label="Hours expected on the way",
        help_text="At most 36 without renewing the oxygen (CITES packing guidance Ps/2).",
    )
    packing = forms.CharField(
        max_length=500,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Bag, water, oxygen, box, heat.",
    )
    price = AmountField(help_text="Stays in these records; on no page for others.")
    currency = CurrencyField()
    permit_number = forms.CharField(max_length=120, required=False, label="Permit numbers")
    source_code = forms.ChoiceField(
        choices=[("", "none"), *SourceCode.choices],
        required=False,
        label="Source code on the papers",
    )
    note = forms.CharField(max_length=200, required=False)
    has_read_cautions = forms.BooleanField(
        required=False, label="I have read what speaks against it, and it goes all the same"
    )


class ComeBackForm(forms.Form):
    """When an animal came back, and why."""

    on = forms.DateField(widget=DayInput(), label="Came back on")
    because = forms.CharField(max_length=200, label="Why did it come back?")


class PupsField(forms.ModelMultipleChoiceField):
    """Pups of one litter, each with its name, size and whether it is free."""

    def __init__(self, *, words: dict[int, str], **kwargs: Any) -> None:
        super().__init__(widget=forms.CheckboxSelectMultiple, **kwargs)
        self.words = words

    def label_from_instance(self, obj: Any) -> str:
        return self.words.get(obj.pk, str(obj))

    def clean(self, value: Any) -> Any:
        for one in value or ():
            if read_whole(str(one)) is None:
                raise ValidationError(f"“{str(one)[:40]}” is no pup of this litter; choose below.")
        return super().clean(value)


def _offered_words(one: PupReading, kept: set[int]) -> str:
    animal = one.pup.animal
    if animal is None:
        return str(one.pup)
    state = "kept for somebody" if animal.pk in kept else animal.get_state_display()
    return f"{animal.full_name}, {animal.get_sex_display()}, {state}"


class SalesForm(forms.Form):
    """Which pups of a litter are shown, and what the keeper says of them."""

    words = forms.CharField(
        max_length=1500,
        required=False,
        widget=forms.Textarea(attrs={"rows": 5}),
        label="In your own words",
        help_text="How they were raised, what they eat, how to reach you. Anybody with the link "
        "reads it. Descent, F and what is unknown stand there by themselves.",
    )

    def __init__(
        self,
        *args: Any,
        litter: Litter,
        page: SalesPage | None,
        pups: list[PupReading],
        **kwargs: Any,
    ) -> None:
        kwargs["initial"] = {
            "words": page.words if page else "",
            "pups": [one.pk for one in page.pups.all()] if page else [one.pup.pk for one in pups],
        }
        super().__init__(*args, **kwargs)
        kept = set(
            Reservation.objects.filter(
                STANDING, animal__in=[one.pup.animal_id for one in pups]
            ).values_list("animal_id", flat=True)
        )
        self.fields["pups"] = PupsField(
            queryset=Pup.objects.filter(litter=litter, animal__isnull=False),
            words={one.pup.pk: _offered_words(one, kept) for one in pups},
            required=False,
            label="Shown, as long as they are here and kept for nobody",
        )
        self.order_fields(["pups", "words"])


class SalesLinkForm(forms.Form):
    """Until when the link leads to the page."""

    last_day = forms.DateField(
        widget=DayInput(), required=False, label="Last day", help_text="Empty: until you close it."
    )


class OriginPaperForm(forms.ModelForm):
    """A paper on where an animal comes from."""

    document = forms.FileField(
        required=False,
        label="The document itself",
        help_text="PDF, JPEG, PNG or WebP, at most 20 MB. Only people who are signed in see it.",
    )

    class Meta:
        model = OriginPaper
        fields = ["source_code", "permit_number", "issued_by", "dated", "note"]
        labels = {"source_code": "Source code on it", "permit_number": "Permit or other number"}
        widgets = {"dated": DayInput()}

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        said = ("source_code", "permit_number", "issued_by", "note", "document")
        if not self.errors and not any(cleaned.get(name) for name in said):
            raise ValidationError("Give at least a code, a number, who issued it, or the document.")
        return cleaned
