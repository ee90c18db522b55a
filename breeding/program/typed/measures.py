"""Measures typed in the program's unit or with their own behind them: lengths and weights."""

import math
from collections.abc import Mapping
from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError

from breeding.program.typed.numbers import TypedDecimal
from breeding.program.typed.reading import (
    GRAMS_PER,
    LENGTH_UNITS,
    MM_PER,
    WEIGHT_PLACES,
    WEIGHT_UNITS,
)
from breeding.words.language import tell
from breeding.words.numbers import written
from breeding.words.sizes import MM_PER_UNIT

MOST_GRAMS = 300_000


class MeasureField(TypedDecimal):
    """A number in the program's unit, or in the one typed behind it, cleaned to stored wholes."""

    stored_per_unit: ClassVar[Mapping[str, float]]
    unit: str
    least: int
    most: int
    allowed: str

    def clean(self, value: Any) -> int | None:
        text = "" if value is None else str(value).strip()
        if not text:
            forms.Field.validate(self, None)
            return None
        number, own = self.read(text)
        self.run_validators(number)
        return self.stored(number, own or self.unit)

    def stored(self, number: Decimal, unit: str) -> int:
        """The whole that is kept. Raises ValidationError for what is not possible."""
        stored = round(float(number) * self.stored_per_unit[unit])
        if not self.least <= stored <= self.most:
            raise ValidationError(
                tell(
                    "{value} {unit} is not possible here; allowed is {allowed}.",
                    value=f"{number:f}",
                    unit=self.says(unit),
                    allowed=self.allowed,
                )
            )
        return stored

    def says(self, unit: str) -> str:
        """The unit as an error names it."""
        return unit


class LengthField(MeasureField):
    """A length typed in the program's unit and cleaned to whole millimetres."""

    stored_per_unit = MM_PER
    units = LENGTH_UNITS

    def __init__(self, *, unit: str = "cm", least_mm: int = 10, most_mm: int = 3000, **kwargs: Any):
        self.unit, self.least, self.most = unit, least_mm, most_mm
        super().__init__(max_digits=7, decimal_places=2, **kwargs)

    @property
    def allowed(self) -> str:  # type: ignore[override]
        """The limits to a tenth of the unit, rounded inwards."""
        tenths = MM_PER_UNIT[self.unit] / 10
        least, most = math.ceil(self.least / tenths), math.floor(self.most / tenths)
        return tell(
            "{least} to {most} {unit}",
            least=written(f"{least / 10:g}"),
            most=written(f"{most / 10:g}"),
            unit=self.unit,
        )

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, int):
            return f"{value / MM_PER_UNIT[self.unit]:.1f}"
        return value


class WeightField(MeasureField):
    """A weight typed in grams, or with its unit, and cleaned to whole grams."""

    stored_per_unit = GRAMS_PER
    units = WEIGHT_UNITS

    def __init__(self, *, unit: str = "g", most: int = MOST_GRAMS, **kwargs: Any) -> None:
        self.unit, self.least, self.most = unit, 1, most
        super().__init__(max_digits=9, decimal_places=3, **kwargs)

    @property
    def allowed(self) -> str:  # type: ignore[override]
        return tell("1 g to {most} kg", most=written(f"{self.most / 1000:g}"))

    @property
    def places(self) -> Mapping[str, int]:
        """Three digits after the point are grams of a kilogram; of a gram they are thousands."""
        return WEIGHT_PLACES
