"""Forms about work on water and tanks: a change, a source water, care, and how often."""

import datetime
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import Q, QuerySet
from django.utils.translation import gettext_lazy as _

from breeding.animals.typed.fields import possible_moment
from breeding.housing.forms import VolumeField
from breeding.housing.models import Tank, TankRhythm, TankWork, WaterChange, WaterSource
from breeding.housing.stays.forms import PastDayField
from breeding.housing.water.forms import (
    PH_UNITS,
    TemperatureField,
    salt_fields,
    shown_temperature,
)
from breeding.housing.work.queries import USUAL_PERCENT
from breeding.program.acts.as_on_record import AsOnRecord, to_the_minute
from breeding.program.forms import MomentInput
from breeding.program.generics import ModelChoiceField, ModelForm, ModelMultipleChoiceField
from breeding.program.models import Program
from breeding.program.typed.moments import MomentField
from breeding.program.typed.numbers import TypedDecimal, TypedWhole
from breeding.words.language import message, tell, tell_many

RHYTHM_LABELS = {
    TankRhythm.What.TEST: message("Water test, every how many days?"),
    TankRhythm.What.CHANGE: message("Water change, every how many days?"),
    TankRhythm.What.FILTER: message("Filter care, every how many days?"),
}


def percent_field() -> TypedWhole:
    return TypedWhole(
        required=False, min_value=1, max_value=100, units={"%": "%"}, label=tell("or percent")
    )


class AmountForm(forms.Form):
    """How much water was changed: one tile, or percent, or litres; when, and what else."""

    changed_at = MomentField(
        widget=MomentInput(),
        required=False,
        label=_("Changed at"),
        help_text=_("Empty: now."),
    )
    note = forms.CharField(max_length=200, required=False, label=_("Note"))

    def __init__(self, *args: Any, program: Program, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["percent"] = percent_field()
        self.fields["litres"] = VolumeField(unit=program.volume_unit)
        unit = tell(VolumeField.WORDS[program.volume_unit])
        self.fields["litres"].label = tell("or {unit}", unit=unit)

    def clean_changed_at(self) -> datetime.datetime | None:
        return possible_moment(self.cleaned_data["changed_at"])


class ChangeForm(AmountForm):
    """A water change of one tank, or of several that share their water."""

    how_much = forms.ChoiceField(
        choices=[(str(one), f"{one} %") for one in USUAL_PERCENT],
        widget=forms.RadioSelect,
        required=False,
        label=_("How much?"),
    )

    def __init__(
        self,
        *args: Any,
        tanks: Sequence[Tank],
        sources: QuerySet[WaterSource],
        program: Program,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, program=program, **kwargs)
        self.fields["source"] = ModelChoiceField(
            queryset=sources,
            required=False,
            widget=forms.RadioSelect,
            label=tell("With which water?"),
            empty_label=tell("not said"),
        )
        if tanks[1:]:
            self.fields["tanks"] = ModelMultipleChoiceField(
                queryset=Tank.objects.filter(pk__in=[tank.pk for tank in tanks]),
                widget=forms.CheckboxSelectMultiple,
                label=tell("In which tanks?"),
                help_text=tell("They share their water. Litres are of all together."),
            )
        self.order_fields(["how_much", "percent", "litres", "source", "tanks"])

    def clean(self) -> dict[str, Any]:
        facts: dict[str, Any] = super().clean() or self.cleaned_data
        tile = facts.get("how_much", "")
        given = [one for one in (tile, facts.get("percent"), facts.get("litres")) if one]
        if len(given) > 1:
            where = "litres" if facts.get("litres") else "percent"
            self.add_error(where, tell("Say how much in one way: a tile, or percent, or litres."))
        elif not given and not self.errors:
            self.add_error(
                "how_much", tell("Say how much: choose a tile, or write percent or litres.")
            )
        elif tile:
            facts["percent"] = int(tile)
        return facts


class WaterChangeChangeForm(AsOnRecord, AmountForm):
    """A change as it was done, of whichever tank; how much may be unknown."""

    def __init__(self, *args: Any, record: WaterChange, program: Program, **kwargs: Any) -> None:
        names = ("tank", "changed_at", "litres", "percent", "source", "note")
        on_record = {name: getattr(record, name) for name in names}
        shown = {"changed_at": to_the_minute(record.changed_at)}
        super().__init__(*args, on_record=on_record, shown=shown, program=program, **kwargs)
        tanks = Tank.every.filter(Q(withdrawn_at__isnull=True) | Q(pk=record.tank_id))
        sources = WaterSource.every.filter(Q(withdrawn_at__isnull=True) | Q(pk=record.source_id))
        self.fields["tank"] = ModelChoiceField(queryset=tanks, empty_label=None, label=tell("Tank"))
        self.fields["source"] = ModelChoiceField(
            queryset=sources,
            required=False,
            empty_label=tell("not said"),
            label=tell("Source water"),
        )
        self.fields["changed_at"].required = True
        self.fields["changed_at"].help_text = ""
        self.fields["percent"].label = tell("Percent of the tank")
        self.order_fields(["tank", "percent", "litres", "source", "changed_at", "note"])


class SourceForm(ModelForm):
    """A water that tanks are filled with; temperature in the program's unit."""

    class Meta:
        model = WaterSource
        fields = ("name", "comes_from", "is_dechlorinated", "prepared", "tested_on", "ph", "note")

    def __init__(self, *args: Any, program: Program, today: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        unit, kept = program.temperature_unit, self.instance.temperature_c
        self.fields["prepared"].help_text = tell("Rested, filtered, mixed with what: in words.")
        self.fields["tested_on"] = PastDayField(
            today=today, required=False, label=tell("Figures tested on")
        )
        self.fields["ph"] = TypedDecimal(
            required=False,
            min_value=0,
            max_value=14,
            max_digits=4,
            decimal_places=2,
            units=PH_UNITS,
            label=tell("pH"),
        )
        self.fields["temperature_c"] = TemperatureField(
            unit=unit,
            required=False,
            label=tell("Temperature as it goes in, {unit}", unit=f"°{unit}"),
        )
        salts = salt_fields()
        self.fields["conductivity_us_cm"] = salts["conductivity_us_cm"]
        self.fields["kh_dh"] = salts["kh_dh"]
        for name in ("ph", "conductivity_us_cm", "kh_dh"):
            self.initial[name] = _as_typed(getattr(self.instance, name))
        self.initial["temperature_c"] = shown_temperature(
            None if kept is None else float(kept), unit
        )
        self.order_fields([*(one for one in self.fields if one != "note"), "note"])

    def clean_temperature_c(self) -> Any:
        """What nobody touched is not written back rounded."""
        if "temperature_c" in self.changed_data:
            return self.cleaned_data["temperature_c"]
        return self.instance.temperature_c

    def _post_clean(self) -> None:
        """The service checks the whole record; the form only what was typed."""


def _as_typed(value: Any) -> str:
    return "" if value is None else f"{Decimal(str(value)).normalize():f}"


class WorkForm(forms.Form):
    """What was seen to at a tank, and when."""

    kind = forms.ChoiceField(
        choices=TankWork.Kind.choices, widget=forms.RadioSelect, label=_("What was done?")
    )
    note = forms.CharField(max_length=200, required=False, label=_("Note"))

    def __init__(self, *args: Any, today: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["on"] = PastDayField(today=today, initial=today, label=tell("Done on"))
        self.order_fields(["kind", "on", "note"])


class WorkChangeForm(AsOnRecord, WorkForm):
    """The same as it was done, at whichever tank."""

    def __init__(self, *args: Any, record: TankWork, **kwargs: Any) -> None:
        on_record = {name: getattr(record, name) for name in ("tank", "kind", "on", "note")}
        super().__init__(*args, on_record=on_record, **kwargs)
        tanks = Tank.every.filter(Q(withdrawn_at__isnull=True) | Q(pk=record.tank_id))
        self.fields["tank"] = ModelChoiceField(queryset=tanks, empty_label=None, label=tell("Tank"))
        self.order_fields(["tank", "kind", "on", "note"])


class RhythmForm(forms.Form):
    """Every how many days what is due in one tank; empty: nothing is asked."""

    def __init__(
        self, *args: Any, chosen: Mapping[str, int], usual_test_days: int, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        for what in TankRhythm.What.values:
            self.fields[what] = TypedWhole(
                required=False,
                min_value=1,
                max_value=365,
                label=tell(RHYTHM_LABELS[TankRhythm.What(what)]),
                initial=chosen.get(what),
            )
        self.fields[TankRhythm.What.TEST].help_text = (
            tell_many(
                "Empty: as the program's settings say, every {number} days.",
                "Empty: as the program's settings say, every {number} days.",
                usual_test_days,
            )
            if usual_test_days
            else tell("Empty: as the program's settings say, never by itself.")
        )
        for what in (TankRhythm.What.CHANGE, TankRhythm.What.FILTER):
            self.fields[what].help_text = tell("Empty: the day does not ask.")
