"""Forms of the housing room."""

import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from breeding.housing.models import Tank
from breeding.housing.sizes import LITRES_PER_GALLON
from breeding.program.formats import long_day
from breeding.program.forms import DayInput, LengthField
from breeding.program.models import Program

SIDES = ("length_mm", "width_mm", "height_mm")
LEAST_SIDE_MM, MOST_SIDE_MM = 100, 30_000
MOST_LITRES = 1_000_000
NO_TANK = "none"


class VolumeField(forms.DecimalField):
    """A volume typed in the program's unit and cleaned to whole litres."""

    LITRES = {"l": 1.0, "gal": LITRES_PER_GALLON}
    WORDS = {"l": "litres", "gal": "US gallons"}

    def __init__(self, *, unit: str, **kwargs: Any) -> None:
        self.unit = unit
        super().__init__(
            required=False,
            max_digits=9,
            decimal_places=1,
            label=f"Volume in {self.WORDS[unit]}",
            **kwargs,
        )
        self.widget.attrs.update({"inputmode": "decimal"})

    def clean(self, value: Any) -> int | None:
        typed = super().clean(value)
        if typed is None:
            return None
        litres = round(float(typed) * self.LITRES[self.unit])
        if not 1 <= litres <= MOST_LITRES:
            most = MOST_LITRES / self.LITRES[self.unit]
            raise ValidationError(
                f"{typed} {self.WORDS[self.unit]} is not possible here; allowed is 1 to "
                f"{most:,.0f} {self.WORDS[self.unit]}."
            )
        return litres

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, int):
            return f"{value / self.LITRES[self.unit]:.1f}".removesuffix(".0")
        return value


class TankForm(forms.ModelForm):
    """A tank; lengths and volume in the program's units."""

    class Meta:
        model = Tank
        fields = ["name", "kind", *SIDES, "volume_litres", "note"]

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

    def clean_name(self) -> str:
        name = str(self.cleaned_data["name"])
        if Tank.objects.filter(name__iexact=name).exclude(pk=self.instance.pk).exists():
            raise ValidationError(f"There is a tank called “{name}” already; choose another name.")
        return name


class MoveForm(forms.Form):
    """Where to, and when. Out of all tanks is a choice of its own: nothing chosen moves nobody."""

    tank = forms.ChoiceField(
        label="Where to", error_messages={"required": "Choose a tank, or “no tank”."}
    )
    on = forms.DateField(widget=DayInput(), label="Moved on")

    def __init__(self, *args: Any, tanks: list[Tank], today: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.tanks = {str(tank.pk): tank for tank in tanks}
        choices = [(key, str(tank)) for key, tank in self.tanks.items()]
        self.fields["tank"].choices = [*choices, (NO_TANK, "no tank")]  # type: ignore[attr-defined]
        self.fields["on"].initial = today

    def clean_tank(self) -> Tank | None:
        return self.tanks.get(self.cleaned_data["tank"])

    def clean_on(self) -> datetime.date:
        on: datetime.date = self.cleaned_data["on"]
        if on > self.today:
            raise ValidationError(f"{long_day(on)} is still to come; move it on the day.")
        return on
