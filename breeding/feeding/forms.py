"""Forms on feeding: a round, a round changed, a food."""

import datetime
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.animals.typed.fields import possible_moment
from breeding.feeding.models import Feeding, Food, Meal
from breeding.feeding.services import FACTS
from breeding.housing.models import Tank
from breeding.program.acts.as_on_record import AsOnRecord, to_the_minute
from breeding.program.forms import MomentInput
from breeding.program.generics import ModelChoiceField, ModelForm
from breeding.program.models import Program
from breeding.program.typed.measures import WeightField
from breeding.program.typed.moments import MomentField
from breeding.program.typed.names import validate_name
from breeding.program.typed.offered import offered_moments
from breeding.words.language import tell
from breeding.words.numbers import written

LEAST_G, MOST_G = Decimal("0.1"), Decimal(100_000)


class AmountField(WeightField):
    """Food in grams, or with its unit behind it, cleaned to tenths of a gram."""

    @property
    def allowed(self) -> str:  # type: ignore[override]
        return tell("{least} to {most}", least=f"{written('0.1')} g", most="100 kg")

    def clean(self, value: Any) -> Decimal | None:  # type: ignore[override]
        return super().clean(value)  # type: ignore[return-value]

    def stored(self, number: Decimal, unit: str) -> Decimal:  # type: ignore[override]
        grams = Decimal(repr(float(number) * self.stored_per_unit[unit])).quantize(LEAST_G)
        if not LEAST_G <= grams <= MOST_G:
            raise ValidationError(
                tell(
                    "{value} is not possible here; allowed is {allowed}.",
                    value=f"{written(f'{number:f}')} {self.says(unit)}",
                    allowed=self.allowed,
                )
            )
        return grams

    def prepare_value(self, value: Any) -> Any:
        """As it is typed, in the program's unit."""
        if isinstance(value, Decimal):
            number = float(value) / self.stored_per_unit[self.unit]
            return f"{number:.2f}".rstrip("0").rstrip(".")
        return value


class RoundForm(forms.Form):
    """A round: what, how much, when; and of each animal what it made of it, "ate" unless said."""

    food = ModelChoiceField(queryset=Food.objects.all(), required=False, label=_("Food"))
    new_food = forms.CharField(
        max_length=60,
        required=False,
        label=_("Another food"),
        validators=[validate_name],
        help_text=_("It is put on the list of foods."),
    )
    when = forms.ChoiceField(required=False, label=_("When"))
    fed_at = MomentField(widget=MomentInput(), required=False, label=_("Another time"))
    note = forms.CharField(max_length=200, required=False, label=_("Note"))

    def __init__(
        self,
        *args: Any,
        animals: Sequence[Animal],
        program: Program,
        now: datetime.datetime,
        others: Sequence[Tank] = (),
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.animals, self.moments = animals, offered_moments(now)
        self.fields["when"].choices = [  # type: ignore[attr-defined]
            (key, said) for key, (said, _) in self.moments.items()
        ]
        unit = program.weight_unit
        self.fields["usual_g"] = AmountField(unit="g", required=False, label=tell("How much"))
        self.fields["amount_g"] = AmountField(
            unit=unit,
            required=False,
            label=tell("Another amount in {unit}, all together", unit=unit),
        )
        for animal in animals:
            self.fields[f"took_{animal.pk}"] = forms.ChoiceField(
                choices=Meal.Took.choices, required=False, label=animal.name
            )
        self.fields["also"] = forms.MultipleChoiceField(
            choices=[(str(tank.pk), tank.name) for tank in others],
            required=False,
            label=tell("The same for"),
        )

    def clean_fed_at(self) -> datetime.datetime | None:
        return possible_moment(self.cleaned_data["fed_at"])

    def clean(self) -> dict[str, Any]:
        """Into what the service asks for; what is typed counts before what is tapped."""
        cleaned = super().clean() or self.cleaned_data
        typed = str(cleaned.get("new_food", "")).strip()
        if not typed and not cleaned.get("food") and not {"food", "new_food"} & self.errors.keys():
            self.add_error("food", tell("Say what was given: choose a food, or type another one."))
        cleaned["new_food"] = typed
        cleaned["amount_g"] = cleaned.get("amount_g") or cleaned.get("usual_g")
        chosen = self.moments.get(cleaned.get("when") or "now", self.moments["now"])
        cleaned["fed_at"] = cleaned.get("fed_at") or chosen[1]
        return cleaned

    def eaters(self) -> dict[Animal, str]:
        """What each made of it, once the form is clean."""
        return {one: self.cleaned_data[f"took_{one.pk}"] or Meal.Took.ALL for one in self.animals}


class FeedingChangeForm(AsOnRecord, forms.Form):
    """A round as it was, and what each animal made of it."""

    fed_at = MomentField(widget=MomentInput(), label=_("When"))
    note = forms.CharField(max_length=200, required=False, label=_("Note"))

    def __init__(
        self, *args: Any, record: Feeding, meals: Sequence[Meal], program: Program, **kwargs: Any
    ) -> None:
        tooks = {f"took_{meal.animal_id}": meal.took for meal in meals}
        on_record: Mapping[str, Any] = {name: getattr(record, name) for name in FACTS} | tooks
        shown = {"fed_at": to_the_minute(record.fed_at)}
        super().__init__(*args, on_record=on_record, shown=shown, **kwargs)
        foods = Food.every.filter(Q(withdrawn_at__isnull=True) | Q(pk=record.food_id))
        self.fields["food"] = ModelChoiceField(
            queryset=foods, required=False, empty_label=tell("not said"), label=tell("What")
        )
        unit = program.weight_unit
        self.fields["amount_g"] = AmountField(
            unit=unit, required=False, label=tell("How much in {unit}, all together", unit=unit)
        )
        for meal in meals:
            self.fields[f"took_{meal.animal_id}"] = forms.ChoiceField(
                choices=Meal.Took.choices, label=meal.animal.name
            )
        self.order_fields(["food", "amount_g", "fed_at", *tooks, "note"])

    def clean_fed_at(self) -> datetime.datetime | None:
        return possible_moment(self.cleaned_data["fed_at"])


class FoodForm(ModelForm):
    """A food: what it is called here, and a note."""

    class Meta:
        model = Food
        fields = ("name", "note")

    def _post_clean(self) -> None:
        """The service checks the whole food; the form only what was typed."""
