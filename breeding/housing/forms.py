"""Forms of the housing room."""

from typing import Any

from django import forms

from breeding.housing.models import Tank
from breeding.program.forms import DayInput, LengthField
from breeding.program.models import Program

SIDES = ("length_mm", "width_mm", "height_mm")
LITRES_PER_GALLON = 3.785411784


class TankForm(forms.ModelForm):
    """A tank; lengths in the program's unit."""

    class Meta:
        model = Tank
        fields = ["name", "kind", "volume_litres", "note"]
        labels = {"volume_litres": "Volume in litres"}

    field_order = ["name", "kind", *SIDES, "volume_litres", "note"]

    def __init__(self, *args: Any, program: Program, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in SIDES:
            self.fields[name] = LengthField(
                unit=program.length_unit,
                most_mm=20000,
                required=False,
                label=f"{name.removesuffix('_mm').capitalize()} in {program.length_unit}",
                initial=getattr(self.instance, name),
            )
        self.order_fields(self.field_order)

    def save(self, commit: bool = True) -> Tank:
        for name in SIDES:
            setattr(self.instance, name, self.cleaned_data[name])
        tank: Tank = super().save(commit=commit)
        return tank


class MoveForm(forms.Form):
    """Where to, and when."""

    tank = forms.ModelChoiceField(
        queryset=Tank.objects.all(), required=False, empty_label="in no tank"
    )
    on = forms.DateField(widget=DayInput(), label="Moved on")
