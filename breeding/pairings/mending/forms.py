"""Forms that change what was recorded of pairings and females, filled in with what is on record."""

import datetime
from typing import Any

from django import forms
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.animals.typed.choosing import AnimalChoice
from breeding.housing.models import Tank
from breeding.housing.stays.forms import PastDayField
from breeding.pairings.care.services import OF_A_TANK
from breeding.pairings.care.severity import DEGREES
from breeding.pairings.forms import OutcomeForm, ScanForm, SightingForm
from breeding.pairings.models import NurseryTick, Outcome, Pairing, Rest, Scan, Sighting
from breeding.pairings.queries import everybody_here, females_here, males_here
from breeding.program.acts.as_on_record import AsOnRecord, to_the_minute
from breeding.program.forms import DayInput, MomentInput
from breeding.program.generics import ModelChoiceField
from breeding.program.typed.moments import MomentField
from breeding.words.language import tell


class SightingChangeForm(AsOnRecord, SightingForm):
    """What was seen, of whom and when; who has left since can still be named."""

    asks_how_bad = False  # what was not said then may stay so

    female = AnimalChoice(queryset=Animal.objects.none(), label=_("Who"))
    seen_at = MomentField(widget=MomentInput(), label=_("Seen at"))
    without_photograph = forms.BooleanField(
        required=False, label=_("The photograph does not belong to it")
    )
    field_order = ("female", "kind", "seen_at", "male", "severity", "note", "photograph")

    def __init__(self, *args: Any, record: Sighting, **kwargs: Any) -> None:
        names = ("female", "kind", "seen_at", "male", "severity", "note")
        super().__init__(
            *args,
            on_record={name: getattr(record, name) for name in names},
            shown={"seen_at": to_the_minute(record.seen_at)},
            **kwargs,
        )
        for name, here in (("female", everybody_here()), ("male", males_here())):
            own = Animal.objects.filter(pk=getattr(record, f"{name}_id"))
            self.fields[name].queryset = (here | own).order_by("call_name", "code")  # type: ignore[attr-defined]
        degrees = [(str(one.number), f"{one.number}, {one.name}") for one in DEGREES]
        self.fields["severity"].choices = [("", tell("not said")), *degrees]  # type: ignore[attr-defined]
        self.fields["kind"].label = _("What was seen")
        if record.photograph_id is None:
            del self.fields["without_photograph"]
        else:
            self.fields["photograph"].label = _("Another photograph")


class ScanChangeForm(AsOnRecord, ScanForm):
    """What a scan showed, of whom and when."""

    female = AnimalChoice(queryset=Animal.objects.none(), label=_("Who"))
    field_order = ("female",)

    def __init__(self, *args: Any, record: Scan, **kwargs: Any) -> None:
        names = ("female", "on", "positive", "number_seen", "done_by", "note")
        super().__init__(
            *args,
            on_record={name: getattr(record, name) for name in names},
            shown={"positive": "yes" if record.positive else "no"},
            **kwargs,
        )
        found = females_here() | Animal.objects.filter(pk=record.female_id)
        self.fields["female"].queryset = found.order_by("call_name", "code")  # type: ignore[attr-defined]


class OutcomeChangeForm(AsOnRecord, OutcomeForm):
    """How a season ended; a birth that was written down without its pups may stay one."""

    def __init__(self, *args: Any, record: Outcome, **kwargs: Any) -> None:
        on_record = {name: getattr(record, name) for name in ("kind", "on", "note")}
        super().__init__(*args, on_record=on_record, **kwargs)
        if record.is_birth:
            self.fields["kind"].choices = Outcome.Kind.choices  # type: ignore[attr-defined]


class PairingChangeForm(AsOnRecord):
    """The days of the two, how they were parted, and why they were paired."""

    FIELDS = (
        "introduced_on",
        "separation_planned_on",
        "separated_on",
        "moved",
        "moved_to",
        "separation_note",
        "reason",
        "note",
    )
    moved = forms.ChoiceField(
        choices=[("", _("not recorded")), *Pairing.Moved.choices],
        required=False,
        label=_("How they were parted"),
    )
    moved_to = ModelChoiceField(
        queryset=Tank.objects.none(),
        required=False,
        label=_("Moved to"),
        empty_label=_("not recorded"),
    )
    separation_note = forms.CharField(
        max_length=200, required=False, label=_("Note on the separation")
    )
    reason = forms.CharField(
        max_length=400, required=False, label=_("Why these two in spite of their kinship")
    )
    note = forms.CharField(
        max_length=1000, required=False, widget=forms.Textarea(attrs={"rows": 2}), label=_("Note")
    )
    field_order = FIELDS

    def __init__(self, *args: Any, record: Pairing, today: datetime.date, **kwargs: Any) -> None:
        on_record = {name: getattr(record, name) for name in self.FIELDS}
        super().__init__(*args, on_record=on_record, **kwargs)
        self.fields["introduced_on"] = PastDayField(today=today, label=_("Introduced on"))
        self.fields["separation_planned_on"] = forms.DateField(
            widget=DayInput(), required=False, label=_("Meant to end on")
        )
        self.fields["separated_on"] = PastDayField(
            today=today,
            required=False,
            label=_("Separated on"),
            help_text=_(
                "Empty: they are still together, and what stands below about their separation is "
                "taken back."
            ),
        )
        self.fields["moved_to"].queryset = _tanks(record.moved_to_id)  # type: ignore[attr-defined]
        self.order_fields(self.FIELDS)


class RestChangeForm(AsOnRecord):
    """Until when she rests."""

    until = forms.DateField(widget=DayInput(), label=_("She rests until"))
    note = forms.CharField(max_length=200, required=False, label=_("Note"))

    def __init__(self, *args: Any, record: Rest, **kwargs: Any) -> None:
        super().__init__(*args, on_record={"until": record.until, "note": record.note}, **kwargs)


class TickChangeForm(AsOnRecord):
    """When a point of the nursery's list was seen to, and in which tank where it has one."""

    def __init__(
        self, *args: Any, record: NurseryTick, today: datetime.date, **kwargs: Any
    ) -> None:
        super().__init__(*args, on_record={"on": record.on, "tank": record.tank}, **kwargs)
        self.fields["on"] = PastDayField(today=today, label=_("Seen to on"))
        if record.item in OF_A_TANK:
            self.fields["tank"] = ModelChoiceField(
                queryset=_tanks(record.tank_id), label=_("Tank"), empty_label=None
            )


def _tanks(own: int | None) -> Any:
    """Those that are in use, and the one on record."""
    return Tank.every.filter(Q(withdrawn_at__isnull=True) | Q(pk=own))
