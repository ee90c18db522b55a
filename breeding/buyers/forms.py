"""Forms of the buyers' room; they clean what was typed and know nothing of the request."""

import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Species, Strain
from breeding.buyers.asked_with import AsksMore
from breeding.buyers.models import (
    MOST_HOURS,
    ON_RECORD,
    Contact,
    HandOver,
    SourceCode,
    Wish,
)
from breeding.buyers.money import AmountField, CurrencyField
from breeding.housing.models import Tank
from breeding.program.forms import DayInput
from breeding.program.generics import ModelChoiceField, ModelForm
from breeding.program.kinds import kind_words
from breeding.program.language.forms import programs_or_one
from breeding.program.models import Program
from breeding.program.typed.measures import LengthField
from breeding.program.typed.numbers import TypedWhole
from breeding.traits.models import Trait
from breeding.words.days import long_day
from breeding.words.language import message, tell

ERASE_WORD = message("erase")
# What a hand-over is asked for, as its form names it.
FACTS = (
    *("on", "transport", "hours_expected", "packing", "price", "currency"),
    *("permit_number", "source_code", "note"),
)


class ContactForm(ModelForm):
    """Somebody outside: a buyer, a seller, a lender, a breeder."""

    language = forms.ChoiceField(
        choices=programs_or_one,
        required=False,
        label=_("Language"),
        help_text=_("Of the sheets issued for them."),
    )

    class Meta:
        model = Contact
        fields = ["name", "reach", "wish", "language"]
        labels = {"reach": _("How to reach them"), "wish": _("What they are looking for, in words")}
        widgets = {"wish": forms.Textarea(attrs={"rows": 3})}


class KeptForm(forms.Form):
    """Until when an animal is kept for somebody, and with what deposit."""

    until = forms.DateField(
        widget=DayInput(),
        required=False,
        label=_("Reserved until"),
        help_text=_("Empty: until further notice."),
    )
    deposit = AmountField(label=_("Deposit"), help_text=_("Empty: none was asked for."))
    deposit_currency = CurrencyField(label=_("Its currency"))
    deposit_paid_on = forms.DateField(
        widget=DayInput(),
        required=False,
        label=_("Deposit paid on"),
        help_text=_("Empty: not yet."),
    )
    note = forms.CharField(max_length=200, required=False, label=_("Note"))


class ReservationForm(AsksMore, KeptForm):
    """For whom an animal is kept, and until when."""

    field_order = ("contact", "new_name")
    contact = forms.ModelChoiceField(
        queryset=Contact.objects.filter(ON_RECORD),
        required=False,
        label=_("For"),
        empty_label=_("somebody new"),
    )
    new_name = forms.CharField(max_length=80, required=False, label=_("Name of somebody new"))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        contact, new_name = cleaned.get("contact"), cleaned.get("new_name")
        if contact is None and not new_name and "contact" not in self.errors:
            raise ValidationError(
                {"contact": tell("Choose for whom, or give the name of somebody new.")}
            )
        if contact is not None and new_name:
            raise ValidationError(
                {
                    "new_name": tell(
                        "Either {contact} or somebody new called “{name}”, not both.",
                        contact=contact,
                        name=new_name,
                    )
                }
            )
        return cleaned


class ReservationChangeForm(KeptForm):
    """Kept longer or shorter, the deposit came in, or a slip put right."""

    field_order = ("contact", "reserved_on")

    contact = forms.ModelChoiceField(
        queryset=Contact.objects.filter(ON_RECORD), required=False, label=_("For"), empty_label=None
    )
    reserved_on = forms.DateField(
        widget=DayInput(),
        required=False,
        label=_("Reserved since"),
        help_text=_("Empty: as it stands."),
    )


class WishForm(forms.Form):
    """What somebody waits for; what is left open may be any."""

    species = forms.ModelChoiceField(
        queryset=Species.objects.all(), required=False, label=_("Species"), empty_label=_("any")
    )
    strain = forms.ModelChoiceField(
        queryset=Strain.objects.all(), required=False, label=_("Strain"), empty_label=_("any")
    )
    sex = forms.ChoiceField(choices=Wish.Sex.choices, required=False, label=_("Sex"))
    kind = forms.ChoiceField(choices=Wish.Kind.choices, required=False, label=_("Pure or hybrid"))
    trait = forms.ModelChoiceField(
        queryset=Trait.objects.all(), required=False, label=_("Trait"), empty_label=_("any")
    )
    trait_wanted = forms.ChoiceField(
        choices=Wish.Wanted.choices, required=False, label=_("Of this trait, it")
    )
    trait_least_percent = TypedWhole(
        min_value=1,
        max_value=99,
        required=False,
        label=_("With this chance at least, in per cent"),
        help_text=_("Empty: for certain, seen, tested or proven."),
    )
    wished_on = forms.DateField(
        widget=DayInput(), label=_("Waits since"), help_text=_("The oldest wish comes first.")
    )
    note = forms.CharField(max_length=200, required=False, label=_("Note"))

    def __init__(self, *args: Any, program: Program, today: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        unit = program.length_unit
        self.fields["least_disc_width_mm"] = LengthField(
            unit=unit,
            required=False,
            label=tell("At least this wide ({unit}, {size})", unit=unit, size=kind_words().size),
        )
        self.order_fields(
            [
                *("species", "strain", "sex", "kind", "least_disc_width_mm"),
                *("trait", "trait_wanted", "trait_least_percent", "wished_on", "note"),
            ]
        )
        if not Trait.objects.exists():
            for name in ("trait", "trait_wanted", "trait_least_percent"):
                del self.fields[name]

    def clean_wished_on(self) -> datetime.date:
        wished_on: datetime.date = self.cleaned_data["wished_on"]
        if wished_on > self.today:
            raise ValidationError(
                tell("{day} is still to come; nobody waits yet.", day=long_day(wished_on))
            )
        return wished_on


class HandOverForm(AsksMore):
    """To whom an animal goes, when, how, and for how much."""

    contact = forms.ModelChoiceField(queryset=Contact.objects.filter(ON_RECORD), label=_("To"))
    on = forms.DateField(widget=DayInput(), label=_("On"))
    transport = forms.ChoiceField(choices=HandOver.Transport.choices, label=_("Transport"))
    hours_expected = TypedWhole(
        min_value=0,
        max_value=MOST_HOURS,
        required=False,
        label=_("Hours expected on the way"),
        help_text=_("At most 36 without renewing the oxygen (CITES packing guidance Ps/2)."),
    )
    packing = forms.CharField(
        max_length=500,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
        label=_("Packing"),
        help_text=_("Bag, water, oxygen, box, heat."),
    )
    price = AmountField(
        label=_("Price"), help_text=_("Stays in these records; on no page for others.")
    )
    currency = CurrencyField(label=_("Currency"))
    permit_number = forms.CharField(max_length=120, required=False, label=_("Permit numbers"))
    source_code = forms.ChoiceField(
        choices=[("", _("none")), *SourceCode.choices],
        required=False,
        label=_("Source code on the papers"),
    )
    note = forms.CharField(max_length=200, required=False, label=_("Note"))
    has_read_cautions = forms.BooleanField(
        required=False, label=_("I have read what speaks against it; it goes all the same")
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
                label=tell("Came back on"),
                help_text=tell("Empty: it did not come back, and is away."),
            )
            self.fields["came_back_because"] = forms.CharField(
                max_length=200,
                required=False,
                initial=gone.came_back_because,
                label=tell("Why did it come back?"),
            )


class EraseForm(forms.Form):
    """On whose wish a person's data are erased, and the word that says it is meant."""

    because = forms.CharField(
        max_length=200,
        label=_("What was asked, and when?"),
        help_text=_("Like “by letter of 3 November”. It stays for good, so without any name."),
    )
    word = forms.CharField(max_length=20)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["word"].label = tell(
            "Type the word {word} to say that you mean it", word=tell(ERASE_WORD)
        )

    def clean_word(self) -> str:
        word = str(self.cleaned_data["word"]).strip().lower()
        if word not in (ERASE_WORD, tell(ERASE_WORD)):
            raise ValidationError(
                tell("“{typed}” is another word; type {word}.", typed=word, word=tell(ERASE_WORD))
            )
        return word


class ComeBackForm(forms.Form):
    """When an animal came back, and why."""

    on = forms.DateField(widget=DayInput(), label=_("Came back on"))
    because = forms.CharField(max_length=200, label=_("Why did it come back?"))
    tank = ModelChoiceField(
        Tank.objects.all(),
        required=False,
        label=_("Into which tank"),
        empty_label=_("no tank yet"),
        help_text=_("Think of quarantine."),
    )
