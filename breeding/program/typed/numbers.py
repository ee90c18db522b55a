"""Form fields for typed numbers: text, with the keyboard for numbers, read by one reader."""

from collections.abc import Mapping
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models

from breeding.program.typed.reading import NO_NUMBER, PER_CENT_SIGN, read_number
from breeding.words.language import tell

if TYPE_CHECKING:
    Field = forms.Field
else:
    Field = object


class NumberInput(forms.TextInput):
    """A line of text: browsers drop from `number` inputs whatever they do not read themselves."""


class Typed(Field):
    """What every typed number has in common; goes before one of Django's fields of numbers."""

    widget = NumberInput
    input_mode = "decimal"
    units: Mapping[str, str] = {}

    def __init__(self, *args: Any, units: Mapping[str, str] | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.units = self.units if units is None else units

    @property
    def places(self) -> Mapping[str, int] | int | None:
        """How many digits it takes after the point, by unit or for all; None: any number."""
        return getattr(self, "decimal_places", None)

    def read(self, typed: str) -> tuple[Decimal, str]:
        """The number and its unit; what is no number is refused in the words of the field."""
        try:
            return read_number(typed, units=self.units, places=self.places)
        except ValidationError as problem:
            if problem.code == NO_NUMBER:
                raise ValidationError(self.error_messages["invalid"], code="invalid") from None
            raise ValidationError(problem.messages) from None

    def to_python(self, value: Any) -> Any:
        if isinstance(value, str) and value.strip():
            value = self.read(value)[0]
        return super().to_python(value)

    def prepare_value(self, value: Any) -> Any:
        """As it is typed: never with a power of ten."""
        if isinstance(value, float):
            return f"{Decimal(repr(value)):f}".removesuffix(".0")
        return f"{value:f}" if isinstance(value, Decimal) else value

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        return {"inputmode": self.input_mode, "autocomplete": "off"}


class TypedDecimal(Typed, forms.DecimalField):
    """An exact number with so many digits."""


class TypedFloat(Typed, forms.FloatField):
    """A number to reckon with."""


class TypedShare(TypedFloat):
    """A share from 0 to 1, typed and shown in percent."""

    units = PER_CENT_SIGN

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{**kwargs, "min_value": 0, "max_value": 100})

    @property
    def allowed(self) -> str:
        return tell("a number from {least} to {most}", least=0, most=100)

    def clean(self, value: Any) -> float | None:
        percent = super().clean(value)
        return None if percent is None else percent / 100

    def prepare_value(self, value: Any) -> Any:
        """As it is typed; what somebody has typed stays as it is."""
        return f"{round(value * 100, 6):.10g} %" if isinstance(value, float) else value

    def has_changed(self, initial: Any, data: Any) -> bool:
        return super().has_changed(None if initial is None else round(initial * 100, 6), data)


class TypedWhole(Typed, forms.IntegerField):
    """A whole number."""

    input_mode = "numeric"

    @property
    def places(self) -> int:
        return 0


_FIELDS = ((models.IntegerField, TypedWhole), (models.DecimalField, TypedDecimal))


def typed_field(column: "models.Field[Any, Any]", **kwargs: Any) -> Any:
    """The form field of a model's column, a typed one for numbers: `Meta.formfield_callback`."""
    for kind, field in (*_FIELDS, (models.FloatField, TypedFloat)):
        if isinstance(column, kind) and not column.choices:
            kwargs.setdefault("form_class", field)
    return column.formfield(**kwargs)
