"""Forms at the tank: they clean what was typed and know nothing of the request."""

import datetime
from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from breeding.animals.around import AROUND
from breeding.animals.models import Animal
from breeding.animals.typed.choosing import AnimalChoice
from breeding.animals.typed.fields import EARLIEST_YEAR, PhotographField, check_past_day
from breeding.housing.models import Tank
from breeding.pairings.care.separation import Scene
from breeding.pairings.care.severity import DEGREES
from breeding.pairings.models import NurseryTick, Outcome, Pairing, SignKind
from breeding.pairings.queries import everybody_here, males_here
from breeding.program.fields import read_whole
from breeding.program.forms import DayInput, MomentInput
from breeding.program.typed.moments import MomentField
from breeding.program.typed.numbers import TypedWhole
from breeding.words.language import tell


class PairingForm(forms.Form):
    """Who is put together with whom, since when, and why in spite of kinship."""

    female = AnimalChoice(queryset=Animal.objects.none(), label=_("Female"))
    male = AnimalChoice(queryset=Animal.objects.none(), label=_("Male"))
    introduced_on = forms.DateField(widget=DayInput(), label=_("Introduced on"))
    separated_on = forms.DateField(
        widget=DayInput(),
        required=False,
        label=_("Separated on"),
        help_text=_("Leave empty while they are together."),
    )
    separation_planned_on = forms.DateField(
        widget=DayInput(),
        required=False,
        label=_("Meant to end on"),
        help_text=_("The time you mean to give them; the day says when it is over. May be empty."),
    )
    note = forms.CharField(
        max_length=1000, required=False, widget=forms.Textarea(attrs={"rows": 2}), label=_("Note")
    )

    def __init__(
        self, *args: Any, today: datetime.date, with_gone: bool = True, **kwargs: Any
    ) -> None:
        """with_gone: those that have left can be chosen as well, for an old pairing."""
        super().__init__(*args, **kwargs)
        for name, sex in (("female", "F"), ("male", "M")):
            found = Animal.objects.filter(sex=sex).order_by("call_name", "code")
            if not with_gone:
                named = read_whole(str(self.initial.get(name) or ""))
                found = found.filter(Q(state__in=AROUND) | Q(pk=named))
            self.fields[name].queryset = found  # type: ignore[attr-defined]
            if not with_gone and not self.initial.get(name) and len(only := found[:2]) == 1:
                self.initial[name] = only[0].pk  # there is nobody else
        self.today = today
        self.fields["introduced_on"].initial = today

    def clean_introduced_on(self) -> datetime.date:
        on: datetime.date = self.cleaned_data["introduced_on"]
        check_past_day(on, self.today)
        return on

    def clean_separated_on(self) -> datetime.date | None:
        on: datetime.date | None = self.cleaned_data["separated_on"]
        if on is not None:
            check_past_day(on, self.today)
        return on

    offered: Sequence[tuple[str, str]] = ()  # who can be moved to whom, once the two are known

    def offer_moves(self, offered: Sequence[tuple[str, str]]) -> None:
        """Let one of the two be moved in the same act; the male first, which is gentler on her."""
        self.offered = offered

    @property
    def moved(self) -> str:
        """Who is to be moved, of those that were offered; nobody when nothing was said."""
        typed = str(self.data.get("moved", ""))
        return typed if typed in dict(self.offered) else ""

    @property
    def move_chosen(self) -> str:
        """What is ticked when the page is drawn: what was sent, else the gentlest."""
        return self.moved if "moved" in self.data else next((key for key, _ in self.offered), "")


class PlanForm(forms.Form):
    """The keeper's own end of the time meant for the two; empty: none."""

    separation_planned_on = forms.DateField(
        widget=DayInput(),
        required=False,
        label=_("Meant to end on"),
        help_text=_("Leave empty for no planned day."),
    )


NO_TANK = "none"


class SeparateForm(forms.Form):
    """When the two were taken apart, who was moved and where to, or who is on which side."""

    on = forms.DateField(widget=DayInput(), label=_("Separated on"))
    moved = forms.ChoiceField(
        choices=Pairing.Moved.choices,
        required=False,
        error_messages={
            "invalid_choice": _("“%(value)s” is not a way to separate them; choose one below.")
        },
        label=_("Moved"),
    )
    tank = forms.ChoiceField(
        required=False,
        error_messages={
            "invalid_choice": _("“%(value)s” is not one of the tanks; choose one below.")
        },
        label=_("Tank"),
    )
    note = forms.CharField(
        max_length=200,
        required=False,
        label=_("Note"),
        help_text=_("Anything worth knowing later."),
    )

    def __init__(self, *args: Any, scene: Scene, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.scene = scene
        self.places = {one.key: one for one in scene.proposals}
        choices = [(key, str(one)) for key, one in self.places.items()]
        self.fields["tank"].choices = [("", ""), *choices, (NO_TANK, tell("no tank"))]  # type: ignore[attr-defined]
        if scene.can_divide:
            for stay in scene.inside:
                self.fields[f"side_{stay.animal_id}"] = forms.ChoiceField(
                    choices=[("left", tell("left")), ("right", tell("right"))],
                    label=stay.animal.name,
                    initial="right" if stay.animal.sex == Animal.Sex.MALE else "left",
                    required=False,
                )

    @property
    def sides(self) -> list[Any]:
        return [self[name] for name in self.fields if name.startswith("side_")]

    def clean(self) -> dict[str, Any]:
        """Into what the service asks for."""
        cleaned = super().clean() or self.cleaned_data
        typed, moved = cleaned.get("tank", ""), cleaned.get("moved", "")
        place = self.places.get(typed)
        shares = self.scene.home is not None
        if shares and not moved and "moved" not in self.errors:
            self.add_error(
                "moved",
                tell(
                    "They share {tank} on record: say who was moved, or how.", tank=self.scene.home
                ),
            )
        is_move = moved in (Pairing.Moved.MALE, Pairing.Moved.FEMALE)
        if shares and is_move and not typed and "tank" not in self.errors:
            self.add_error("tank", tell("Say where to; or choose “no tank on record”."))
        for name in [name for name in cleaned if name.startswith("side_")]:
            cleaned.pop(name)
        cleaned["tank"] = place.tank if place and is_move else None
        cleaned["side"] = place.side if place and is_move else ""
        if moved == Pairing.Moved.DIVIDER:
            for side in ("left", "right"):
                cleaned[side] = [
                    stay.animal
                    for stay in self.scene.inside
                    if self.data.get(f"side_{stay.animal_id}") == side
                ]
        return cleaned


class NurseryForm(forms.Form):
    """One tap on the nursery's list: a point ticked or taken back, or a tank chosen."""

    tick = forms.ChoiceField(choices=NurseryTick.Item.choices, required=False)
    untick = forms.ModelChoiceField(queryset=NurseryTick.objects.none(), required=False)
    tank = forms.ModelChoiceField(queryset=Tank.objects.all(), required=False, label=_("Tank"))

    def __init__(self, *args: Any, female: Animal, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        standing = NurseryTick.objects.filter(female=female, withdrawn_at__isnull=True)
        self.fields["untick"].queryset = standing  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if not self.errors and not any(cleaned.values()):
            raise ValidationError(tell("Tap one point of the list, or a tank."))
        return cleaned


NOT_SURE = "unsure"


def _degree_of(sent: str) -> int | None:
    return None if sent == NOT_SURE else int(sent)


class SightingForm(forms.Form):
    """Three taps: who, what was seen, done. Marks ask how bad; all else can stay empty."""

    asks_how_bad = True

    female = forms.ModelChoiceField(
        queryset=Animal.objects.none(),
        error_messages={"required": _("Choose who it was.")},
        label=_("Female"),
    )
    kind = forms.ModelChoiceField(
        queryset=SignKind.objects.all(),
        error_messages={"required": _("Choose what you saw.")},
        label=pgettext_lazy("of a sign", "Kind"),
    )
    severity = forms.TypedChoiceField(
        choices=[
            *((str(degree.number), degree.number) for degree in DEGREES),
            (NOT_SURE, _("not sure")),
        ],
        coerce=_degree_of,
        empty_value=None,
        required=False,
        label=_("Severity"),
    )
    male = AnimalChoice(
        queryset=Animal.objects.none(),
        required=False,
        empty_label=_("not sure, or none"),
        label=_("Male"),
    )
    seen_at = MomentField(
        widget=MomentInput(),
        required=False,
        label=_("Seen at"),
        help_text=_("Empty: now."),
    )
    note = forms.CharField(max_length=400, required=False, label=_("Note"))
    photograph = PhotographField(
        required=False,
        help_text=_("JPEG, PNG or WebP; where it was taken is removed."),
        label=_("Photograph"),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["female"].queryset = everybody_here()  # type: ignore[attr-defined]
        self.fields["male"].queryset = males_here().order_by("call_name", "code")  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        kind = cleaned.get("kind")
        asks = self.asks_how_bad and kind is not None and kind.asks_severity
        is_said = "severity" in self.errors or self.data.get(self.add_prefix("severity"))
        if asks and not is_said:
            self.add_error("severity", tell("Say how bad the marks are, or that you are not sure."))
        return cleaned


class ScanForm(forms.Form):
    """What an ultrasound scan showed."""

    on = forms.DateField(widget=DayInput(), label=_("Scanned on"))
    positive = forms.TypedChoiceField(
        choices=[("yes", _("pups seen")), ("no", _("nothing seen"))],
        coerce=lambda text: text == "yes",
        widget=forms.RadioSelect,
        label=_("What was seen"),
    )
    number_seen = TypedWhole(min_value=0, max_value=50, required=False, label=_("How many pups"))
    done_by = forms.CharField(max_length=80, required=False, label=_("Done by"))
    note = forms.CharField(max_length=400, required=False, label=_("Note"))


class OutcomeForm(forms.Form):
    """How a pregnancy, or the hope of one, ended without a birth to record."""

    kind = forms.ChoiceField(
        choices=[(kind.value, kind.label) for kind in Outcome.Kind if kind not in Outcome.BIRTHS],
        widget=forms.RadioSelect,
        label=_("What happened"),
    )
    on = forms.DateField(widget=DayInput(), label=_("Known since"))
    note = forms.CharField(max_length=400, required=False, label=_("Note"))


class AsOfForm(forms.Form):
    """A day to reckon on instead of today."""

    asof = forms.DateField(widget=DayInput(), label=_("As of"))

    def __init__(self, *args: Any, today: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_asof(self) -> datetime.date:
        asof: datetime.date = self.cleaned_data["asof"]
        if asof > self.today:
            raise ValidationError(
                tell("{day} is still to come; choose today or a day before.", day=asof)
            )
        if asof.year < EARLIEST_YEAR:
            raise ValidationError(
                tell(
                    "{day} is too long ago; the earliest year is {year}.",
                    day=asof,
                    year=EARLIEST_YEAR,
                )
            )
        return asof
