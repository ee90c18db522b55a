"""The form of the whole house: where each tank stands."""

from collections.abc import Iterator, Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from breeding.housing.forms import distance_field
from breeding.housing.house.arranging import STANDS
from breeding.housing.house.plan import Plan
from breeding.housing.models import BOTH_DISTANCES, Tank
from breeding.program.typed.names import validate_name
from breeding.words.language import tell


def place_fields(unit: str) -> dict[str, forms.Field]:
    """The fields of one tank's place, lengths in the program's unit."""
    return {
        "stands_in": forms.CharField(
            max_length=60, required=False, label=tell("Room"), validators=[validate_name]
        ),
        "from_left_mm": distance_field(tell("From the left"), unit),
        "from_back_mm": distance_field(tell("From the back"), unit),
        "is_turned": forms.BooleanField(required=False, label=tell("Stands turned")),
    }


class HouseForm(forms.Form):
    """Of each tank its room, two distances, and whether it is turned; fields named by its key."""

    def __init__(self, *args: Any, tanks: Sequence[Tank], unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.tanks = tanks
        for tank in tanks:
            for name, field in place_fields(unit).items():
                field.initial = getattr(tank, name)
                self.fields[f"{name}_{tank.pk}"] = field

    def clean(self) -> dict[str, Any]:
        facts = super().clean() or {}
        for tank in self.tanks:
            left, back = (facts.get(f"{name}_{tank.pk}") for name in STANDS[1:3])
            either = {f"{name}_{tank.pk}" for name in STANDS[1:3]}
            if (left is None) != (back is None) and not either & self.errors.keys():
                missing = STANDS[1] if left is None else STANDS[2]
                self.add_error(f"{missing}_{tank.pk}", ValidationError(tell(BOTH_DISTANCES)))
        return facts

    def stands(self) -> dict[int, dict[str, Any]]:
        """What was sent, by the tank's key; a tank that was not on the page is left out."""
        return {
            tank.pk: {name: self.cleaned_data[f"{name}_{tank.pk}"] for name in STANDS}
            for tank in self.tanks
            if f"{STANDS[1]}_{tank.pk}" in self.data
        }

    def rows(self, plan: Plan) -> Iterator[dict[str, Any]]:
        """Each tank with its four fields, and where the plan draws it."""
        boxes = {box.key: box for room in plan.rooms for box in room.boxes}
        for tank in self.tanks:
            box = boxes[tank.pk]
            sides = (box.deep, box.wide) if box.is_turned else (box.wide, box.deep)
            yield {
                "tank": tank,
                "fields": [self[f"{name}_{tank.pk}"] for name in STANDS],
                "box": box,
                "long": round(sides[0]),
                "deep": round(sides[1]),
                "left": round(box.left),
                "top": round(box.top),
            }
