"""Forms of the buyers' room; they clean what was typed and know nothing of the request."""

import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q

from breeding.animals.models import Species, Strain
from breeding.buyers.models import (
    MOST_HOURS,
    ON_RECORD,
    Contact,
    HandOver,
    SourceCode,
    Wish,
)
from breeding.buyers.money import AmountField, CurrencyField
from breeding.program.forms import DayInput
from breeding.program.generics import ModelForm
from breeding.program.kinds import kind_words
from breeding.program.models import Program
from breeding.program.typed.measures import LengthField
from breeding.program.typed.numbers import TypedWhole
from breeding.words.days import long_day

ERASE_WORD = "erase"
# What a hand-over is asked for, as its form names it.
FACTS = (
    *("on", "transport", "hours_expected", "packing", "price", "currency"),
    *("permit_number", "source_code", "note"),
)


class ContactForm(ModelForm):
    """Somebody who has bought or wants to buy."""

    class Meta:
        model = Contact
        fields = ["name", "reach", "wish"]
        labels = {"reach": "How to reach them", "wish": "What they are looking for, in words"}
        widgets = {"wish": forms.Textarea(attrs={"rows": 3})}


class ReservationForm(forms.Form):
    """For whom an animal is kept, and until when."""

    contact = forms.ModelChoiceField(
        queryset=Contact.objects.filter(ON_RECORD),
        required=False,
        label="For",
        empty_label="somebody new",
    )
    new_name = forms.CharField(max_length=80, required=False, label="Name of somebody new")
    until = forms.DateField(
        widget=DayInput(),
        required=False,
        label="Kept until",
        help_text="Empty: until further notice.",
    )
    deposit = AmountField(help_text="Empty: none was asked for.")
    deposit_currency = CurrencyField(label="Its currency")
    deposit_paid_on = forms.DateField(
        widget=DayInput(), required=False, label="Deposit paid on", help_text="Empty: not yet."
    )
    note = forms.CharField(max_length=200, required=False)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        contact, new_name = cleaned.get("contact"), cleaned.get("new_name")
        if contact is None and not new_name and "contact" not in self.errors:
            raise ValidationError({"contact": "Choose for whom, or give the name of somebody new."})
        if contact is not None and new_name:
            raise ValidationError(
                {"new_name": f"Either {contact} or somebody new called “{new_name}”, not both."}
            )
        return cleaned


class ReservationChangeForm(forms.Form):
    """Kept longer or shorter, the deposit came in, or a slip put right."""

    contact = forms.ModelChoiceField(
        queryset=Contact.objects.filter(ON_RECORD), required=False, label="For", empty_label=None
    )
    reserved_on = forms.DateField(
        widget=DayInput(), required=False, label="Kept since", help_text="Empty: as it stands."
    )
    until = forms.DateField(
        widget=DayInput(),
        required=False,
        label="Kept until",
        help_text="Empty: until further notice.",
    )
    deposit = AmountField(help_text="Empty: none was asked for.")
    deposit_currency = CurrencyField(label="Its currency")
    deposit_paid_on = forms.DateField(
        widget=DayInput(), required=False, label="Deposit paid on", help_text="Empty: not yet."
    )
    note = forms.CharField(max_length=200, required=False)


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
            unit=unit, required=False, label=f"At least this wide ({unit}, {kind_words().size})"
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

    contact = forms.ModelChoiceField(queryset=Contact.objects.filter(ON_RECORD), label="To")
    on = forms.DateField(widget=DayInput(), label="On")
    transport = forms.ChoiceField(choices=HandOver.Transport.choices)
    hours_expected = TypedWhole(
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


class HandOverChangeForm(HandOverForm):
    """What was written down of a hand-over, put right; the coming back too when it came back."""

    def __init__(self, *args: Any, gone: HandOver, **kwargs: Any) -> None:
        initial = {name: getattr(gone, name) for name in FACTS}
        kwargs["initial"] = {**initial, "contact": gone.contact_id}
        super().__init__(*args, **kwargs)
        del self.fields["has_read_cautions"]
        # Of one whose buyer was erased the buyer stays nobody.
        contacts = Contact.objects.filter(ON_RECORD | Q(pk=gone.contact_id))
        self.fields["contact"].queryset = contacts  # type: ignore[attr-defined]
        if gone.came_back_on is not None:
            self.fields["came_back_on"] = forms.DateField(
                widget=DayInput(),
                required=False,
                initial=gone.came_back_on,
                label="Came back on",
                help_text="Empty: it did not come back, and is away.",
            )
            self.fields["came_back_because"] = forms.CharField(
                max_length=200,
                required=False,
                initial=gone.came_back_because,
                label="Why did it come back?",
            )


class EraseForm(forms.Form):
    """On whose wish a person's data are erased, and the word that says it is meant."""

    because = forms.CharField(
        max_length=200,
        label="What was asked, and when?",
        help_text="Like “by letter of 3 November”. It stays for good, so without any name.",
    )
    word = forms.CharField(
        max_length=20, label=f"Type the word {ERASE_WORD} to say that you mean it"
    )

    def clean_word(self) -> str:
        word = str(self.cleaned_data["word"]).strip().lower()
        if word != ERASE_WORD:
            raise ValidationError(f"“{word}” is another word; type {ERASE_WORD}.")
        return word


class ComeBackForm(forms.Form):
    """When an animal came back, and why."""

    on = forms.DateField(widget=DayInput(), label="Came back on")
    because = forms.CharField(max_length=200, label="Why did it come back?")
