"""What the log page asks of whatever is written down; the forms know nothing of the request."""

import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from breeding.animals.typed.fields import EARLIEST_YEAR, PhotographField
from breeding.feeding.forms import AmountField
from breeding.feeding.models import Food
from breeding.housing.models import TankWork
from breeding.housing.work.queries import USUAL_PERCENT
from breeding.pairings.forms import SightingForm
from breeding.pairings.log.who import WhoField
from breeding.program.forms import MomentInput
from breeding.program.generics import ModelChoiceField
from breeding.program.kinds import kind_words
from breeding.program.models import Program
from breeding.program.typed.measures import LengthField, WeightField
from breeding.program.typed.moments import MomentField
from breeding.program.typed.names import validate_name
from breeding.program.typed.offered import with_an_hour_ago
from breeding.words.language import tell

CHANGE = "change-"  # before the percent of a water change


class LogForm(forms.Form):
    """Of whom, when, and a few words: what is asked whatever is written down."""

    female = WhoField()
    when = forms.ChoiceField(required=False, label=_("When"))
    seen_at = MomentField(widget=MomentInput(), required=False, label=_("Another time"))
    note = forms.CharField(max_length=200, required=False, label=_("Note"))

    def __init__(self, *args: Any, now: datetime.datetime, program: Program, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.now, self.program = now, program
        self.moments = with_an_hour_ago(now)
        self.fields["when"].choices = [  # type: ignore[attr-defined]
            (key, said) for key, (said, _at) in self.moments.items()
        ]

    @property
    def chosen_moment(self) -> str:
        """The time that is ticked when the page is drawn."""
        return str(self["when"].value() or "now")

    @property
    def offered(self) -> list[tuple[str, str, datetime.datetime]]:
        """Each time that is offered: its key, what is said, and what it means."""
        return [(key, said, timezone.localtime(at)) for key, (said, at) in self.moments.items()]

    def clean(self) -> dict[str, Any]:
        """The time into one moment; what is typed counts before what is tapped."""
        cleaned = super().clean() or self.cleaned_data
        tapped = self.moments.get(cleaned.get("when") or "now", self.moments["now"])
        at = cleaned.get("seen_at") or tapped[1]
        if at.year < EARLIEST_YEAR:
            early = tell(
                "{day} is too long ago; the earliest year is {year}.",
                day=at.date(),
                year=EARLIEST_YEAR,
            )
            self.add_error("seen_at", early)
        elif at.year >= 9999:  # no zone can be reckoned there
            self.add_error(
                "seen_at", tell("{day} is still to come; choose an earlier time.", day=at.date())
            )
        else:
            cleaned["at"] = timezone.localtime(at)
        return cleaned


MATE, NOBODY = "mate", "nobody"


class SeenForm(LogForm, SightingForm):
    """What was seen of one or several; the male is filled in from who is with her."""

    with_whom = forms.ChoiceField(
        choices=[(MATE, _("who is with her")), (NOBODY, _("not seen who"))],
        required=False,
        label=_("With whom"),
    )
    female = WhoField()  # type: ignore[assignment]
    note = forms.CharField(max_length=400, required=False, label=_("Note"))
    field_order = ("female", "kind", "severity", "with_whom", "male", "when", "seen_at", "note")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["seen_at"].label = _("Another time")
        self.fields["male"].label = _("Another male")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        cleaned["is_with_mate"] = cleaned.get("with_whom") == MATE and not cleaned.get("male")
        return cleaned


class FedForm(LogForm):
    """What was given, to tanks or animals; all ate."""

    food = ModelChoiceField(queryset=Food.objects.all(), required=False, label=_("Food"))
    new_food = forms.CharField(
        max_length=60,
        required=False,
        label=_("Another food"),
        validators=[validate_name],
        help_text=_("It is put on the list of foods."),
    )

    def __init__(self, *args: Any, program: Program, **kwargs: Any) -> None:
        super().__init__(*args, program=program, **kwargs)
        unit = program.weight_unit
        self.fields["amount_g"] = AmountField(
            unit=unit,
            required=False,
            label=tell("How much in {unit}; empty: not weighed", unit=unit),
        )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        typed = str(cleaned.get("new_food", "")).strip()
        if not typed and not cleaned.get("food") and not {"food", "new_food"} & self.errors.keys():
            self.add_error("food", tell("Say what was given: choose a food, or type another one."))
        cleaned["new_food"] = typed
        return cleaned


class WeighedForm(LogForm):
    """The weight and the size of one."""

    def __init__(self, *args: Any, program: Program, **kwargs: Any) -> None:
        super().__init__(*args, program=program, **kwargs)
        unit = program.length_unit
        self.fields["weight_g"] = WeightField(required=False, label=tell("Weight in grams"))
        self.fields["disc_width_mm"] = LengthField(
            unit=unit,
            required=False,
            label=tell("{size} in {unit}", size=kind_words().size_heading, unit=unit),
        )

    def clean_female(self) -> Any:
        chosen = self.cleaned_data["female"]
        if len(chosen.animals) != 1 or chosen.tanks:
            raise ValidationError(tell("Choose one; several are weighed in one table."))
        return chosen

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        typed = {"weight_g", "disc_width_mm"}
        if not typed & self.errors.keys() and not any(cleaned.get(name) for name in typed):
            self.add_error("weight_g", tell("Write a weight, a size, or both."))
        return cleaned


class WaterForm(LogForm):
    """What was done at one tank or several: part of the water changed, or something seen to."""

    done = forms.ChoiceField(
        error_messages={"required": _("Choose what was done.")},
        label=pgettext_lazy("on the water", "Done"),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["done"].choices = [  # type: ignore[attr-defined]
            *(
                (f"{CHANGE}{one}", tell("changed {percent} %", percent=one))
                for one in USUAL_PERCENT
            ),
            *((kind.value, kind.label) for kind in TankWork.Kind if kind != TankWork.Kind.OTHER),
        ]

    def clean_female(self) -> Any:
        chosen = self.cleaned_data["female"]
        if chosen.animals:
            names = ", ".join(one.name for one in chosen.animals)
            raise ValidationError(tell("{names} is not a tank; choose the tank.", names=names))
        return chosen


class NoteForm(LogForm):
    """A few words about an animal, several, or a tank itself."""

    note = forms.CharField(
        max_length=200,
        widget=forms.Textarea(attrs={"rows": 3}),
        label=_("What is worth knowing?"),
        error_messages={"required": _("Say in a few words what is worth knowing.")},
    )
    photograph = PhotographField(
        required=False,
        help_text=_("JPEG, PNG or WebP; where it was taken is removed."),
        label=_("Photograph"),
    )
