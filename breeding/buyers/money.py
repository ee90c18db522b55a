"""Money: an amount and its currency, and which currencies there are."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from breeding.buyers.models import CURRENCY
from breeding.program.typed.numbers import TypedDecimal
from breeding.words.language import tell

# The codes of ISO 4217 that money is counted in, from memory; some that have ended are among them,
# for old records.
_CODES = """
AED AFN ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BHD BIF BMD BND BOB BRL BSD BTN BWP
BYN BZD CAD CDF CHF CLP CNY COP CRC CUP CVE CZK DJF DKK DOP DZD EEK EGP ERN ETB EUR FJD FKP
GBP GEL GHS GIP GMD GNF GTQ GYD HKD HNL HRK HTG HUF IDR ILS INR IQD IRR ISK JMD JOD JPY KES
KGS KHR KMF KPW KRW KWD KYD KZT LAK LBP LKR LRD LSL LTL LVL LYD MAD MDL MGA MKD MMK MNT MOP
MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD OMR PAB PEN PGK PHP PKR PLN PYG QAR RON
RSD RUB RWF SAR SBD SCR SDG SEK SGD SHP SKK SLE SLL SOS SRD SSP STN SVC SYP SZL THB TJS TMT
TND TOP TRY TTD TWD TZS UAH UGX USD UYU UZS VED VES VND VUV WST XAF XCD XCG XOF XPF YER ZAR
ZMW ZWG ZWL
"""
CURRENCIES = frozenset(_CODES.split())


def check_currency(code: str, *, field: str) -> None:
    """Raises ValidationError on that field for letters that are no currency; empty is none."""
    if code and code not in CURRENCIES:
        raise ValidationError(
            {
                field: tell(
                    "{code} is no currency of ISO 4217; write its three letters, like EUR or USD.",
                    code=code,
                )
            }
        )


class CurrencyField(forms.CharField):
    """Three letters, typed large or small."""

    allowed = _("three letters, like EUR, GBP or USD")

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(required=False, validators=[CURRENCY], **kwargs)
        self.widget.attrs.update({"size": "4", "maxlength": "3", "autocapitalize": "characters"})

    def to_python(self, value: Any) -> str:
        return str(super().to_python(value) or "").upper()


class AmountField(TypedDecimal):
    """An amount of money; nothing below zero, cents at most."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(min_value=0, max_digits=10, decimal_places=2, required=False, **kwargs)
