"""Form fields for shares, per cents and numbers of generations, cleaned to exact fractions."""

from fractions import Fraction
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from breeding.program.typed.numbers import NumberInput
from breeding.program.typed.reading import PER_CENT_SIGN, quoted, read_number, read_share
from breeding.words.language import message, tell


class TypedShareField(forms.CharField):
    """Cleans to an exact fraction; nothing typed is None. A text field: 1/2 is typed as well."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=20, required=False, **kwargs)

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        return read_share(text) if text else None


class FractionField(forms.CharField):
    """A number from 0 to `most`, with or without %; nothing typed is None."""

    widget = NumberInput
    most: int
    refused: str  # a message

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        return {**super().widget_attrs(widget), "inputmode": "decimal"}

    def clean(self, value: Any) -> Fraction | None:
        text = super().clean(value)
        return self._read(text) if text else None

    def _read(self, text: str) -> Fraction:
        allowed = tell(self.refused, typed=quoted(text), most=self.most)
        try:
            number, _ = read_number(text, units=PER_CENT_SIGN, places=None)
        except ValidationError as problem:
            raise problem if problem.code is None else ValidationError(allowed) from None
        if not 0 <= number <= self.most:
            raise ValidationError(allowed)
        return Fraction(number)


class TypedPercentField(FractionField):
    """Cleans 0 to 100 % to an exact share; nothing typed is None."""

    most = 100
    refused = message(
        "“{typed}” is not an F in per cent; allowed is a number from 0 to {most}, such as 6.25."
    )

    def clean(self, value: Any) -> Fraction | None:
        per_cent = super().clean(value)
        return None if per_cent is None else per_cent / 100


class TypedGenerationsField(FractionField):
    """Cleans to a number of generations, whole or not; nothing typed is None."""

    most = 99
    refused = message(
        "“{typed}” is not a number of generations; allowed is a number from 0 to {most}, "
        "such as 1.5."
    )
