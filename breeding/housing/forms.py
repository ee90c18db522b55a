"""Forms about a tank itself."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from breeding.housing.models import Tank, WaterSystem
from breeding.housing.queries import stays_with_sides
from breeding.housing.sizes import LITRES_PER_GALLON
from breeding.program.generics import ModelForm
from breeding.program.models import Program
from breeding.program.typed.measures import LengthField, MeasureField

SIDES = ("length_mm", "width_mm", "height_mm")
LEAST_SIDE_MM, MOST_SIDE_MM = 100, 30_000
MOST_LITRES = 1_000_000


class VolumeField(MeasureField):
    """A volume typed in the program's unit and cleaned to whole litres."""

    stored_per_unit = {"l": 1.0, "gal": LITRES_PER_GALLON}
    units = {
        **dict.fromkeys(("l", "litre", "litres", "liter", "liters"), "l"),
        **dict.fromkeys(("gal", "gallon", "gallons", "usgallons"), "gal"),
    }
    WORDS = {"l": "litres", "gal": "US gallons"}

    def __init__(self, *, unit: str, **kwargs: Any) -> None:
        self.unit, self.least, self.most = unit, 1, MOST_LITRES
        super().__init__(
            required=False,
            max_digits=9,
            decimal_places=1,
            label=f"Volume in {self.WORDS[unit]}",
            **kwargs,
        )

    @property
    def allowed(self) -> str:  # type: ignore[override]
        return f"1 to {MOST_LITRES / self.stored_per_unit[self.unit]:,.0f} {self.WORDS[self.unit]}"

    def says(self, unit: str) -> str:
        return self.WORDS[unit]

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, int):
            return f"{value / self.stored_per_unit[self.unit]:.1f}".removesuffix(".0")
        return value


class SystemForm(ModelForm):
    """Water that several tanks share."""

    class Meta:
        model = WaterSystem
        fields = ("name", "note")

    def _post_clean(self) -> None:
        """The service checks the whole record; the form only what was typed."""


class TankForm(ModelForm):
    """A tank; lengths and volume in the program's units; its shared water may be named anew."""

    new_system = forms.CharField(
        max_length=60, required=False, label="or a new shared system, by its name"
    )

    class Meta:
        model = Tank
        fields = ["name", "kind", *SIDES, "volume_litres", "system", "can_divide", "note"]

    def __init__(self, *args: Any, program: Program, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in SIDES:
            self.fields[name] = LengthField(
                unit=program.length_unit,
                least_mm=LEAST_SIDE_MM,
                most_mm=MOST_SIDE_MM,
                required=False,
                label=f"{name.removesuffix('_mm').capitalize()} in {program.length_unit}",
            )
        self.fields["volume_litres"] = VolumeField(unit=program.volume_unit)
        self.fields["system"].empty_label = "none: water of its own"  # type: ignore[attr-defined]

    def clean_name(self) -> str:
        name = str(self.cleaned_data["name"])
        if Tank.objects.filter(name__iexact=name).exclude(pk=self.instance.pk).exists():
            raise ValidationError(f"There is a tank called “{name}” already; choose another name.")
        return name

    def clean_can_divide(self) -> bool:
        can_divide = bool(self.cleaned_data["can_divide"])
        if not can_divide and self.instance.pk and stays_with_sides(self.instance).exists():
            raise ValidationError("Its divider is closed now; open it first.")
        return can_divide
