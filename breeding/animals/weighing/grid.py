"""The table as a form: three cells an animal, and the day."""

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BoundField
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.animals.typed.fields import check_past_day
from breeding.animals.weighing.keeping import Weighed
from breeding.animals.weighing.last import Last
from breeding.program.forms import DayInput
from breeding.program.kinds import kind_words
from breeding.program.models import Program
from breeding.program.typed.measures import LengthField, WeightField
from breeding.program.typed.numbers import TypedWhole
from breeding.words.language import tell

CELLS = ("disc_width_mm", "weight_g", "condition")


@dataclass(frozen=True)
class Row:
    """One animal of the table, with what it was measured at last."""

    animal: Animal
    last: Last
    width: BoundField
    weight: BoundField
    condition: BoundField


class WeighingForm(forms.Form):
    """What several animals are measured at on one day; an empty row is no measurement."""

    on = forms.DateField(widget=DayInput(), label=_("Measured on"))

    def __init__(
        self,
        *args: Any,
        animals: Sequence[Animal],
        last: Mapping[int, Last],
        program: Program,
        today: datetime.date,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.animals, self.last, self.today = animals, last, today
        self.fields["on"].initial = today
        unit, size = program.length_unit, kind_words().size_heading
        for one in animals:
            self.fields[f"disc_width_mm_{one.pk}"] = LengthField(
                unit=unit,
                required=False,
                label=tell("{size} of {animal} in {unit}", size=size, animal=one.name, unit=unit),
            )
            self.fields[f"weight_g_{one.pk}"] = WeightField(
                required=False, label=tell("Weight of {animal} in grams", animal=one.name)
            )
            self.fields[f"condition_{one.pk}"] = TypedWhole(
                min_value=1,
                max_value=5,
                required=False,
                label=tell("Condition of {animal}", animal=one.name),
            )

    @property
    def rows(self) -> Iterator[Row]:
        for one in self.animals:
            cells = [self[f"{name}_{one.pk}"] for name in CELLS]
            yield Row(one, self.last.get(one.pk, Last()), *cells)

    @property
    def weighed(self) -> list[Weighed]:
        """As it was typed, one an animal."""
        cleaned = self.cleaned_data
        return [
            Weighed(one, *(cleaned[f"{name}_{one.pk}"] for name in CELLS)) for one in self.animals
        ]

    def clean_on(self) -> datetime.date:
        on: datetime.date = self.cleaned_data["on"]
        check_past_day(on, self.today)
        return on
