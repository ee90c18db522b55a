"""Forms about water: a test, and what this program calls fit."""

import datetime
from collections.abc import Mapping
from decimal import Decimal
from types import MappingProxyType
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from breeding.animals.typed.fields import possible_moment
from breeding.housing.models import Tank, WaterRange, WaterTest
from breeding.housing.water.fit import FORMULAS, Range
from breeding.housing.water.queries import possible_ranges
from breeding.housing.water.services import CHANGEABLE
from breeding.program.acts.as_on_record import AsOnRecord, to_the_minute
from breeding.program.forms import MomentInput
from breeding.program.generics import ModelChoiceField
from breeding.program.models import Program
from breeding.program.typed.moments import MomentField
from breeding.program.typed.numbers import TypedDecimal
from breeding.words.language import message, tell
from breeding.words.numbers import written

NITROGENS = ("ammonia", "nitrite", "nitrate")
VALUE_LABELS = {
    "ammonia": message("Total ammonia, mg/L"),
    "nitrite": message("Nitrite, mg/L"),
    "nitrate": message("Nitrate, mg/L"),
}
RANGE_HEADINGS = {
    "temperature": message("Temperature"),
    "ph": "pH",
    "ammonia": message("Total ammonia"),
    "nitrite": message("Nitrite"),
    "nitrate": message("Nitrate"),
    "conductivity": message("Conductivity"),
    "kh": message("Carbonate hardness"),
}
PH_UNITS = {"ph": "pH"}
WATER_UNITS = {"mg/l": "mg/L", "ppm": "mg/L"}  # ppm: a litre of fresh water weighs a kilogram
LAST = ("tested_at", "note")
SALT_OF = {"conductivity": "conductivity_us_cm", "kh": "kh_dh"}
NO_DEFAULT = message(
    "no default: no source is known, so water is judged only by what you choose here"
)
SALTS = ("conductivity_us_cm", "kh_dh")


class TemperatureField(TypedDecimal):
    """A temperature typed in the program's unit and cleaned to degrees Celsius."""

    def __init__(self, *, unit: str, **kwargs: Any) -> None:
        self.unit = unit
        self.limits = possible_ranges()["temperature"]
        spellings = (unit.lower(), f"°{unit.lower()}")
        super().__init__(
            max_digits=5, decimal_places=2, units=dict.fromkeys(spellings, f"°{unit}"), **kwargs
        )

    @property
    def allowed(self) -> str:
        least, most = (
            written(shown_temperature(one, self.unit))
            for one in (self.limits.least, self.limits.most)
        )
        return tell("{least} to {most}", least=least, most=f"{most} °{self.unit}")

    def clean(self, value: Any) -> Decimal | None:
        typed: Decimal | None = super().clean(value)
        if typed is None:
            return None
        celsius = typed if self.unit == "C" else (typed - 32) * 5 / 9
        if not self.limits.holds(float(celsius)):
            raise ValidationError(
                tell(
                    "{value} is not possible here; allowed is {allowed}.",
                    value=f"{written(str(typed))} °{self.unit}",
                    allowed=self.allowed,
                )
            )
        return celsius.quantize(Decimal("0.01"))


def shown_temperature(celsius: float | None, unit: str) -> str:
    """A temperature as a field shows it; nothing stays empty."""
    if celsius is None:
        return ""
    return f"{celsius if unit == 'C' else celsius * 9 / 5 + 32:.1f}".removesuffix(".0")


def _ph_field(**kwargs: Any) -> TypedDecimal:
    limits = possible_ranges()["ph"]
    return TypedDecimal(
        required=False, min_value=limits.least, max_value=limits.most, units=PH_UNITS, **kwargs
    )


def salt_fields() -> dict[str, TypedDecimal]:
    """Conductivity and carbonate hardness, of a test and of a source water."""
    return {
        "conductivity_us_cm": TypedDecimal(
            required=False,
            units={"µs/cm": "µS/cm", "us/cm": "µS/cm", "μs/cm": "µS/cm"},
            label=tell("Conductivity, µS/cm"),
            min_value=0,
            max_value=60000,
            max_digits=7,
            decimal_places=1,
        ),
        "kh_dh": TypedDecimal(
            required=False,
            units={"°dh": "°dH", "dh": "°dH", "dkh": "°dH", "°dkh": "°dH"},
            label=tell("Carbonate hardness (KH), °dH"),
            min_value=0,
            max_value=50,
            max_digits=5,
            decimal_places=2,
        ),
    }


class WaterTestForm(forms.Form):
    """What a test read: every value may be empty, one at least is needed; 0: not detectable."""

    temperature_c = TypedDecimal(required=False)
    tested_at = MomentField(
        widget=MomentInput(),
        required=False,
        label=_("Tested at"),
        help_text=_("Empty: now."),
    )
    note = forms.CharField(max_length=200, required=False, label=_("Note"))

    def __init__(self, *args: Any, program: Program, last: WaterTest | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        unit = program.temperature_unit
        self.fields["temperature_c"] = TemperatureField(
            unit=unit, required=False, label=tell("Temperature in {unit}", unit=f"°{unit}")
        )
        self.fields["ph"] = _ph_field(max_digits=4, decimal_places=2, label=tell("pH"))
        for what in NITROGENS:
            self.fields[f"{what}_mg_l"] = TypedDecimal(
                required=False,
                units=WATER_UNITS,
                label=tell(VALUE_LABELS[what]),
                min_value=0,
                max_digits=7,
                decimal_places=3,
            )
            self.fields[f"{what}_as"] = forms.ChoiceField(
                label=tell("read as"),
                choices=[
                    ("ion", tell("{formula}, the ion", formula=FORMULAS[what])),
                    ("N", f"{FORMULAS[what]}-N"),
                ],
                initial=getattr(last, f"{what}_as") if last else "ion",
            )
        salts = salt_fields()
        self.fields["conductivity_us_cm"] = salts["conductivity_us_cm"]
        self.fields["kh_dh"] = salts["kh_dh"]
        self.order_fields([*(one for one in self.fields if one not in LAST), *LAST])

    def salts(self) -> list[forms.BoundField]:
        return [self[name] for name in SALTS]

    def value_fields(self) -> list[tuple[forms.BoundField, forms.BoundField]]:
        """Each value with its unit."""
        return [(self[f"{what}_mg_l"], self[f"{what}_as"]) for what in NITROGENS]

    def clean_tested_at(self) -> datetime.datetime | None:
        return possible_moment(self.cleaned_data["tested_at"])


class WaterTestChangeForm(AsOnRecord, WaterTestForm):
    """A test as it was read, of whichever tank."""

    field_order = ("tank", "temperature_c", "ph")

    def __init__(self, *args: Any, record: WaterTest, program: Program, **kwargs: Any) -> None:
        on_record = {name: getattr(record, name) for name in CHANGEABLE}
        celsius = record.temperature_c
        values = {name: _as_typed(getattr(record, name)) for name in WaterTest.VALUES}
        shown = values | {
            "tested_at": to_the_minute(record.tested_at),
            "temperature_c": shown_temperature(
                None if celsius is None else float(celsius), program.temperature_unit
            ),
        }
        super().__init__(
            *args, on_record=on_record, shown=shown, program=program, last=record, **kwargs
        )
        tanks = Tank.every.filter(Q(withdrawn_at__isnull=True) | Q(pk=record.tank_id))
        self.fields["tank"] = ModelChoiceField(queryset=tanks, empty_label=None, label=tell("Tank"))
        self.fields["tested_at"].required = True
        self.fields["tested_at"].help_text = ""
        nitrogens = [name for what in NITROGENS for name in (f"{what}_mg_l", f"{what}_as")]
        self.order_fields([*self.field_order, *nitrogens, *SALTS, *LAST])


def _as_typed(value: Decimal | None) -> str:
    """Without the noughts that the database adds; nothing stays empty."""
    return "" if value is None else f"{value.normalize():f}"


class RangeForm(forms.Form):
    """From least to most of each quantity; both empty is the default again."""

    def __init__(
        self,
        *args: Any,
        program: Program,
        ranges: Mapping[str, Range],
        defaults: Mapping[str, Range],
        sources: Mapping[str, str] = MappingProxyType({}),
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.unit = program.temperature_unit
        self.defaults = defaults
        for what in WaterRange.What.values:
            for end in self.ends(what):
                value = getattr(ranges.get(what), end, None)
                field: forms.Field
                if what == "temperature":
                    field = TemperatureField(unit=self.unit, required=False)
                    field.initial = shown_temperature(value, self.unit)
                elif what == "ph":
                    field = _ph_field(max_digits=8, decimal_places=3)
                    field.initial = "" if value is None else f"{value:g}"
                elif what in SALT_OF:
                    field = salt_fields()[SALT_OF[what]]
                    field.initial = "" if value is None else f"{value:g}"
                else:
                    field = TypedDecimal(
                        required=False,
                        min_value=0,
                        max_value=1000,
                        max_digits=8,
                        decimal_places=3,
                        units=WATER_UNITS,
                    )
                    field.initial = "" if value is None else f"{value:g}"
                field.label = self.words(what, end)
                self.fields[f"{what}_{end}"] = field
            self.fields[f"{what}_source"] = forms.CharField(
                max_length=200,
                required=False,
                label=tell("Where this choice comes from"),
                initial=sources.get(what, ""),
                help_text=tell("Empty: this program's own choice."),
            )

    @staticmethod
    def ends(what: str) -> tuple[str, ...]:
        return ("most",) if what in NITROGENS else ("least", "most")

    def words(self, what: str, end: str) -> str:
        name = tell(RANGE_HEADINGS[what])
        if what == "ph":
            if end == "least":
                return tell("{quantity}, at least", quantity=name)
            return tell("{quantity}, at most", quantity=name)
        units = {"temperature": f"°{self.unit}", "conductivity": "µS/cm", "kh": "°dH"}
        unit = units.get(what, f"mg/L {FORMULAS.get(what, '')}")
        if end == "least":
            return tell("{quantity}, at least in {unit}", quantity=name, unit=unit)
        return tell("{quantity}, at most in {unit}", quantity=name, unit=unit)

    def rows(self) -> list[tuple[str, list[forms.BoundField]]]:
        """The source of each default, with the fields for it."""
        return [
            (
                tell(self.defaults[what].source if what in self.defaults else NO_DEFAULT),
                [self[f"{what}_{end}"] for end in (*self.ends(what), "source")],
            )
            for what in WaterRange.What.values
        ]

    def clean(self) -> dict[str, Any]:
        facts: dict[str, Any] = super().clean() or {}
        for what in ("temperature", "ph", *SALT_OF):
            least, most = facts.get(f"{what}_least"), facts.get(f"{what}_most")
            if least is not None and most is not None and least > most:
                self.add_error(f"{what}_most", tell("The most cannot be less than the least."))
        if not self.errors:
            self._refuse_sources_of_nothing(facts)
        return facts

    def _refuse_sources_of_nothing(self, facts: Mapping[str, Any]) -> None:
        self.cleaned_data = dict(facts)
        for what, chosen in self.chosen().items():
            if chosen is None and facts.get(f"{what}_source"):
                self.add_error(
                    f"{what}_source",
                    tell(
                        "This is the range that comes with the program, with its own source; "
                        "choose another range, or leave this empty."
                    ),
                )

    def sources(self) -> dict[str, str]:
        """Where each choice comes from, as typed."""
        return {what: self.cleaned_data[f"{what}_source"] for what in WaterRange.What.values}

    def chosen(self) -> dict[str, tuple[float | None, float | None] | None]:
        """Least and most of each quantity; None where the default is meant."""
        found: dict[str, tuple[float | None, float | None] | None] = {}
        for what in WaterRange.What.values:
            ends = [self.cleaned_data.get(f"{what}_{end}") for end in ("least", "most")]
            least, most = (None if value is None else float(value) for value in ends)
            default = self.defaults.get(what, Range(what, None, None, ""))
            is_default = (least, most) in ((None, None), (default.least, default.most))
            found[what] = None if is_default else (least, most)
        return found
