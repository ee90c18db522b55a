"""Forms of arrivals and loans; they clean what was typed and know nothing of the request."""

from collections.abc import Iterator
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Case, IntegerField, Q, QuerySet, Value, When
from django.utils.translation import gettext_lazy as _

from breeding.animals.mending.kin import LABELS, CertaintyField
from breeding.animals.models import Animal, Species
from breeding.arrivals.models import Arrival, LoanAgreement
from breeding.arrivals.services import Newcomer
from breeding.buyers.models import ON_RECORD, Contact
from breeding.buyers.money import AmountField, CurrencyField
from breeding.housing.models import Tank
from breeding.program.acts.as_on_record import AsOnRecord
from breeding.program.forms import DayInput
from breeding.program.generics import ModelChoiceField, ModelMultipleChoiceField
from breeding.program.typed.numbers import TypedWhole
from breeding.words.language import tell

MOST_AT_ONCE = 12
SHOWN_AT_ONCE = 2
MOST_YOUNG = 60
ARRIVAL_FACTS = ("on", "price", "currency", "papers", "pregnant", "note")
TERMS = ("due_back_on", "terms", "young_owed")
ORIGINS = [
    (Animal.Origin.BRED_ELSEWHERE, _("captive bred elsewhere")),
    (Animal.Origin.WILD, _("wild caught")),
    (Animal.Origin.UNKNOWN, _("unknown")),
]


def quarantine_first() -> Any:
    """Tanks, those for quarantine first."""
    first = When(kind=Tank.Kind.QUARANTINE, then=Value(0))
    order = Case(first, default=Value(1), output_field=IntegerField())
    return Tank.objects.order_by(order, "name")


class FromSomebody(forms.Form):
    """Somebody on record, or somebody new by name."""

    contact = ModelChoiceField(
        Contact.objects.filter(ON_RECORD),
        required=False,
        label=_("From"),
        empty_label=_("somebody new"),
    )
    new_name = forms.CharField(max_length=80, required=False, label=_("Name of somebody new"))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        contact, new_name = cleaned.get("contact"), cleaned.get("new_name")
        if contact is not None and new_name:
            raise ValidationError(
                {
                    "new_name": tell(
                        "Either {contact} or somebody new called “{new_name}”, not both.",
                        contact=contact,
                        new_name=new_name,
                    )
                }
            )
        return cleaned


class NewcomersForm(FromSomebody):
    """Animals that came on one day from one seller; a row that says nothing is no animal."""

    on = forms.DateField(widget=DayInput(), label=_("Came on"))
    origin = forms.ChoiceField(choices=ORIGINS, label=_("They are"))
    country = forms.CharField(
        max_length=60,
        required=False,
        label=_("Country they come from"),
        help_text=_("Of the animals, not of the seller: a listing can hold for one country alone."),
    )
    price_together = AmountField(
        label=_("Price for all together"),
        help_text=_("Divided among those without a price of their own."),
    )
    currency = CurrencyField()
    papers = forms.CharField(
        max_length=400,
        required=False,
        help_text=_("Which came with them; documents are kept later."),
    )
    tank = ModelChoiceField(
        Tank.objects.none(),
        required=False,
        label=_("Into which tank"),
        empty_label=_("no tank yet"),
        help_text=_("Tanks for quarantine come first."),
    )
    note = forms.CharField(max_length=400, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["tank"].queryset = quarantine_first()  # type: ignore[attr-defined]
        species = Species.objects.all()
        for number in range(1, MOST_AT_ONCE + 1):
            self._add_row(number, species)

    def _add_row(self, number: int, species: Any) -> None:
        self.fields |= {
            f"call_name_{number}": forms.CharField(
                max_length=60, required=False, label=tell("Name")
            ),
            f"sex_{number}": forms.ChoiceField(
                choices=Animal.Sex.choices,
                required=False,
                label=tell("Sex"),
                initial=Animal.Sex.UNKNOWN,
            ),
            f"species_{number}": ModelChoiceField(
                species, required=False, label=tell("Species"), empty_label=tell("unknown")
            ),
            f"markings_{number}": forms.CharField(
                max_length=400, required=False, label=tell("Markings")
            ),
            f"price_{number}": AmountField(label=tell("Price")),
            f"pregnant_{number}": forms.ChoiceField(
                choices=Arrival.Pregnant.choices, required=False, label=tell("Pregnant")
            ),
        }

    FIELDS_OF_ONE = ("call_name", "sex", "species", "markings", "price", "pregnant")

    def animal_rows(self) -> list[list[forms.BoundField]]:
        """The fields of each animal, for the template."""
        numbers = range(1, MOST_AT_ONCE + 1)
        return [[self[f"{part}_{number}"] for part in self.FIELDS_OF_ONE] for number in numbers]

    @staticmethod
    def says_something(row: list[forms.BoundField]) -> bool:
        """Whether anything was typed into the row of one animal, allowed or not."""
        return any(field.data not in (None, "", Animal.Sex.UNKNOWN) for field in row)

    def newcomers(self) -> dict[int, Newcomer]:
        """By the number of the row; those that say nothing are left out."""
        found = {}
        for number in range(1, MOST_AT_ONCE + 1):
            said: dict[str, Any] = {
                part: self.cleaned_data.get(f"{part}_{number}") for part in self.FIELDS_OF_ONE
            }
            said["sex"] = said["sex"] or Animal.Sex.UNKNOWN
            if any(value for part, value in said.items() if part != "sex") or (
                said["sex"] != Animal.Sex.UNKNOWN
            ):
                found[number] = Newcomer(**said)
        return found

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not self.errors and not self.newcomers():
            raise ValidationError(
                {"call_name_1": tell("Who came? Say at least one thing of one animal.")}
            )
        return cleaned

    def facts(self) -> dict[str, Any]:
        """What the service wants beside the animals and the contact."""
        names = ("on", "origin", "country", "price_together", "currency", "papers", "tank", "note")
        return {name: self.cleaned_data[name] for name in names}


class ArrivalForm(FromSomebody):
    """How one animal on record came."""

    on = forms.DateField(widget=DayInput(), label=_("Came on"))
    price = AmountField()
    currency = CurrencyField()
    papers = forms.CharField(max_length=400, required=False, help_text=_("Which came with it."))
    pregnant = forms.ChoiceField(choices=Arrival.Pregnant.choices, required=False)
    note = forms.CharField(max_length=400, required=False)


class ArrivalChangeForm(AsOnRecord):
    """From whom, when, for what and with which papers it came, put right."""

    contact = ModelChoiceField(
        Contact.objects.none(), required=False, label=_("From"), empty_label=_("not written down")
    )
    on = forms.DateField(widget=DayInput(), label=_("Came on"))
    price = AmountField()
    currency = CurrencyField()
    papers = forms.CharField(max_length=400, required=False)
    pregnant = forms.ChoiceField(choices=Arrival.Pregnant.choices, required=False)
    note = forms.CharField(max_length=400, required=False)

    def __init__(self, *args: Any, record: Arrival, **kwargs: Any) -> None:
        on_record = {name: getattr(record, name) for name in (*ARRIVAL_FACTS, "contact")}
        super().__init__(*args, on_record=on_record, **kwargs)
        self.fields["contact"].queryset = contacts_or(record.contact_id)  # type: ignore[attr-defined]


def contacts_or(key: int | None) -> Any:
    """Everybody who can be chosen, and whoever stands there now."""
    return Contact.objects.filter(ON_RECORD | Q(pk=key))


class TermsForm(FromSomebody):
    """With whom an animal is on loan, until when and on what terms."""

    since = forms.DateField(widget=DayInput(), label=_("Since"))
    due_back_on = forms.DateField(
        widget=DayInput(),
        required=False,
        label=_("Due back on"),
        help_text=_("Empty: nothing agreed."),
    )
    young_owed = TypedWhole(
        min_value=0,
        max_value=MOST_YOUNG,
        required=False,
        label=_("Young owed for it"),
        help_text=_("How many pups go to the owner."),
    )
    terms = forms.CharField(
        max_length=1000, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )

    def __init__(self, *args: Any, is_out: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["contact"].label = tell("To") if is_out else tell("Belongs to")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        is_nobody = cleaned.get("contact") is None and not cleaned.get("new_name")
        if is_nobody and "contact" not in self.errors:
            raise ValidationError(
                {"contact": tell("Choose who it is, or give the name of somebody new.")}
            )
        return cleaned


class AgreementChangeForm(AsOnRecord):
    """Terms of a loan put right; the days it was away follow where the animal stands."""

    contact = ModelChoiceField(
        Contact.objects.none(), required=False, label=_("With"), empty_label=_("not written down")
    )
    due_back_on = forms.DateField(widget=DayInput(), required=False, label=_("Due back on"))
    young_owed = TypedWhole(
        min_value=0, max_value=MOST_YOUNG, required=False, label=_("Young owed for it")
    )
    young_given = TypedWhole(
        min_value=0, max_value=MOST_YOUNG, required=False, label=_("Of these given so far")
    )
    terms = forms.CharField(
        max_length=1000, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )

    def __init__(self, *args: Any, record: LoanAgreement, **kwargs: Any) -> None:
        names = (*TERMS, "young_given", "contact")
        super().__init__(*args, on_record={one: getattr(record, one) for one in names}, **kwargs)
        self.fields["contact"].queryset = contacts_or(record.contact_id)  # type: ignore[attr-defined]
        if record.direction == LoanAgreement.Direction.IN:
            self.fields["since"] = forms.DateField(
                widget=DayInput(), label=tell("Since"), initial=record.since
            )
            self.on_record = {**self.on_record, "since": record.since}
            self.shown = {**self.shown, "since": record.since}


class BackForm(forms.Form):
    """When it came back, and into which tank; or when it went back to its owner."""

    on = forms.DateField(widget=DayInput(), label=_("Back on"))

    def __init__(self, *args: Any, agreement: LoanAgreement, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if agreement.is_out:
            self.fields["tank"] = ModelChoiceField(
                quarantine_first(),
                required=False,
                label=tell("Into which tank"),
                empty_label=tell("no tank yet"),
                help_text=tell("Tanks for quarantine come first."),
            )


class YoungGivenForm(forms.Form):
    """Which of the young that are owed have been given, and how many that are on no record."""

    young = ModelMultipleChoiceField(
        Animal.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label=_("Given for this loan"),
    )
    young_given = TypedWhole(
        min_value=0,
        max_value=MOST_YOUNG,
        label=_("Others given"),
        help_text=_("Young that are on no record here."),
    )

    def __init__(self, *args: Any, offered: QuerySet[Animal] | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if offered is not None:
            self.fields["young"].queryset = offered  # type: ignore[attr-defined]
        if not offered:
            del self.fields["young"]


class GroupKinForm(forms.Form):
    """What animals that came together are to each other: all alike, or pair by pair."""

    KEEP = ""

    everybody = forms.ChoiceField(
        choices=[*LABELS.items(), (KEEP, _("pair by pair, below"))],
        required=False,
        widget=forms.RadioSelect,
        label=_("All of them are"),
    )
    certainty = CertaintyField(initial="75")
    note = forms.CharField(max_length=200, required=False, help_text=_("Who said so, say."))

    def __init__(self, *args: Any, pairs: list[tuple[Animal, Animal]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.pairs = pairs
        for at, (one, other) in enumerate(pairs):
            self.fields[f"pair_{at}"] = forms.ChoiceField(
                choices=[(self.KEEP, tell("as it stands")), *LABELS.items()],
                required=False,
                label=tell("{one} and {other}", one=one.name, other=other.name),
            )
            self.fields[f"sure_{at}"] = CertaintyField(
                label=tell("How sure, in per cent"), help_text=""
            )

    def pair_rows(self) -> Iterator[tuple[forms.BoundField, forms.BoundField]]:
        for at in range(len(self.pairs)):
            yield self[f"pair_{at}"], self[f"sure_{at}"]

    def answers(self) -> Iterator[tuple[Animal, Animal, str, float | None]]:
        """Each pair that is answered, with what and how sure."""
        cleaned = self.cleaned_data
        for at, (one, other) in enumerate(self.pairs):
            own = cleaned.get(f"pair_{at}") or ""
            degree = own or cleaned.get("everybody") or ""
            sure = cleaned.get(f"sure_{at}") if own else None
            sure = cleaned.get("certainty") if sure is None else sure
            if degree:
                yield one, other, degree, None if sure is None else float(sure)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if not self.errors and not any(True for _ in self.answers()):
            raise ValidationError(
                {"everybody": tell("Choose for all of them, or for one pair below.")}
            )
        return cleaned
