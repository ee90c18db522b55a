"""Forms about a tank itself."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from breeding.housing.models import FARTHEST_MM, Tank, WaterSystem
from breeding.housing.queries import stays_with_sides
from breeding.housing.sizes import LITRES_PER_GALLON
from breeding.program.generics import ModelForm
from breeding.program.models import Program
from breeding.program.typed.measures import LengthField, MeasureField
from breeding.words.language import message, tell
from breeding.words.numbers import written

SIDES = ("length_mm", "width_mm", "height_mm")
SIDE_LABELS = {
    "length_mm": message("Length in {unit}"),
    "width_mm": message("Width in {unit}"),
    "height_mm": message("Height in {unit}"),
}
LEAST_SIDE_MM, MOST_SIDE_MM = 100, 30_000
MOST_LITRES = 1_000_000


def distance_field(label: str, unit: str) -> LengthField:
    """How far a tank stands from a wall of its room."""
    return LengthField(
        unit=unit,
        least_mm=0,
        most_mm=FARTHEST_MM,
        required=False,
        label=tell("{distance}, in {unit}", distance=label, unit=unit),
    )


class VolumeField(MeasureField):
    """A volume typed in the program's unit and cleaned to whole litres."""

    stored_per_unit = {"l": 1.0, "gal": LITRES_PER_GALLON}
    units = {
        **dict.fromkeys(("l", "litre", "litres", "liter", "liters"), "l"),
        **dict.fromkeys(("gal", "gallon", "gallons", "usgallons"), "gal"),
    }
    WORDS: ClassVar[Mapping[str, str]] = {"l": message("litres"), "gal": message("US gallons")}

    def __init__(self, *, unit: str, **kwargs: Any) -> None:
        self.unit, self.least, self.most = unit, 1, MOST_LITRES
        super().__init__(
            required=False,
            max_digits=9,
            decimal_places=1,
            label=tell("Volume in {unit}", unit=self.says(unit)),
            **kwargs,
        )

    @property
    def allowed(self) -> str:  # type: ignore[override]
        most = written(f"{MOST_LITRES / self.stored_per_unit[self.unit]:,.0f}")
        return tell("1 to {most} {unit}", most=most, unit=self.says(self.unit))

    def says(self, unit: str) -> str:
        return tell(self.WORDS[unit])

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
        max_length=60, required=False, label=_("or a new shared system, by its name")
    )

    class Meta:
        model = Tank
        fields = [
            *("name", "kind", *SIDES, "volume_litres", "system", "can_divide", "note"),
            *("stands_in", "from_left_mm", "from_back_mm", "is_turned"),
        ]

    def __init__(self, *args: Any, program: Program, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in SIDES:
            self.fields[name] = LengthField(
                unit=program.length_unit,
                least_mm=LEAST_SIDE_MM,
                most_mm=MOST_SIDE_MM,
                required=False,
                label=tell(SIDE_LABELS[name], unit=program.length_unit),
            )
        unit = program.length_unit
        self.fields["from_left_mm"] = distance_field(tell("From the left"), unit)
        self.fields["from_back_mm"] = distance_field(tell("From the back"), unit)
        self.fields["volume_litres"] = VolumeField(unit=program.volume_unit)
        self.fields["system"].empty_label = tell("none: water of its own")  # type: ignore[attr-defined]

    def clean_name(self) -> str:
        name = str(self.cleaned_data["name"])
        if Tank.objects.filter(name__iexact=name).exclude(pk=self.instance.pk).exists():
            raise ValidationError(
                tell("There is a tank called “{name}” already; choose another name.", name=name)
            )
        return name

    def clean_can_divide(self) -> bool:
        can_divide = bool(self.cleaned_data["can_divide"])
        if not can_divide and self.instance.pk and stays_with_sides(self.instance).exists():
            raise ValidationError(tell("Its divider is closed; open it first."))
        return can_divide
