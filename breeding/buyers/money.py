"""Form fields of money: an amount and its currency."""

from typing import Any

from django import forms

from breeding.buyers.sale_models import CURRENCY


class CurrencyField(forms.CharField):
    """Three letters, typed large or small."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=3, required=False, validators=[CURRENCY], **kwargs)
        self.widget.attrs.update({"size": "4", "autocapitalize": "characters"})

    def to_python(self, value: Any) -> str:
        return str(super().to_python(value) or "").upper()


class AmountField(forms.DecimalField):
    """An amount of money; nothing below zero, cents at most."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(min_value=0, max_digits=10, decimal_places=2, required=False, **kwargs)
        self.widget.attrs.update({"inputmode": "decimal"})
