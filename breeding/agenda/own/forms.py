"""What one is to be reminded of, when, and about whom."""

import datetime
from typing import Any, cast

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from breeding.agenda.models import Reminder
from breeding.animals.away.gone import GONE
from breeding.animals.models import Animal
from breeding.animals.typed.choosing import AnimalChoice
from breeding.buyers.models import ON_RECORD, Contact
from breeding.housing.models import Tank
from breeding.program.acts.as_on_record import AsOnRecord
from breeding.program.forms import DayInput
from breeding.program.generics import ModelChoiceField
from breeding.program.typed.names import validate_name
from breeding.program.typed.numbers import TypedWhole
from breeding.words.language import tell
from breeding.words.months import week_begins, weekday
from breeding.words.numbers import joined

DAY = datetime.timedelta(days=1)
LEAST_DAYS, MOST_DAYS = 1, 1000


class AboutForm(forms.Form):
    """What a reminder says, how often it comes, and about whom."""

    text = forms.CharField(max_length=120, validators=[validate_name], label=_("Remind me to"))
    every_days = TypedWhole(
        required=False,
        label=_("Again every so many days"),
        help_text=_("Empty: once. 7 for every week."),
        validators=[MinValueValidator(LEAST_DAYS), MaxValueValidator(MOST_DAYS)],
    )
    animal = AnimalChoice(
        queryset=Animal.objects.all(), required=False, empty_label=_("none"), label=_("Animal")
    )
    tank = ModelChoiceField(
        queryset=Tank.every.all(), required=False, empty_label=_("none"), label=_("Tank")
    )
    contact = ModelChoiceField(
        queryset=Contact.objects.all(), required=False, empty_label=_("none"), label=_("Contact")
    )

    def offer(self, kept: Reminder | None = None) -> None:
        """Whoever is here and whatever is in use; and what it is about already."""
        animal, tank, contact = (
            (kept.animal_id, kept.tank_id, kept.contact_id) if kept else (None, None, None)
        )
        here = ~Q(state__in=GONE) & Q(withdrawn_at__isnull=True) | Q(pk=animal)
        offered = {
            "animal": Animal.objects.filter(here).order_by("call_name", "code"),
            "tank": Tank.every.filter(Q(withdrawn_at__isnull=True) | Q(pk=tank)),
            "contact": Contact.objects.filter(ON_RECORD | Q(pk=contact)).order_by("name"),
        }
        for name, rows in offered.items():
            field = cast("ModelChoiceField", self.fields[name])
            field.queryset = rows

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        named = [name for name in ("animal", "tank", "contact") if cleaned.get(name)]
        if len(named) > 1:
            said = joined([str(cleaned[name]) for name in named])
            raise ValidationError(
                {named[-1]: tell("It is about {said}; a reminder is about one of them.", said=said)}
            )
        return cleaned


class ReminderForm(AboutForm):
    """A new reminder: its day is one of a few, or another one."""

    when = forms.DateField(required=False, widget=forms.RadioSelect, label=_("When?"))
    on = forms.DateField(required=False, widget=DayInput(), label=_("Or on this day"))
    field_order = ("text", "when", "on")

    def __init__(self, *args: Any, today: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        when = self.fields["when"]
        when.widget = forms.RadioSelect(choices=days_offered(today))
        when.initial = today + DAY
        self.offer()

    def clean(self) -> dict[str, Any]:
        """A day that was typed counts before one that was chosen at first."""
        cleaned = super().clean()
        chosen = cleaned.pop("when", None)
        cleaned["on"] = cleaned.get("on") or chosen
        if cleaned["on"] is None and "on" not in self.errors and "when" not in self.errors:
            raise ValidationError({"when": tell("Choose the day on which to be reminded.")})
        return cleaned


class ReminderChangeForm(AsOnRecord, AboutForm):
    """Another day, other words, or done on another day."""

    on = forms.DateField(widget=DayInput(), label=_("For this day"))
    done_on = forms.DateField(
        required=False,
        widget=DayInput(),
        label=_("Done on"),
        help_text=_("Empty: not yet. The next time is counted from this day."),
    )
    field_order = ("text", "on", "every_days", "done_on")

    def __init__(self, *args: Any, record: Reminder, **kwargs: Any) -> None:
        on_record = {name: getattr(record, name) for name in self.base_fields}
        shown = {name: getattr(record, f"{name}_id") for name in ("animal", "tank", "contact")}
        super().__init__(*args, on_record=on_record, shown=shown, **kwargs)
        self.offer(record)


def days_offered(today: datetime.date) -> list[tuple[datetime.date, str]]:
    """Today, tomorrow, the day the next week begins, a week on: what is most asked for."""
    next_week = week_begins(today) + 7 * DAY
    days = {
        next_week: tell("on {weekday}", weekday=weekday(next_week)),
        today: tell("today"),
        today + DAY: tell("tomorrow"),
        today + 7 * DAY: tell("in a week"),
        today + 14 * DAY: tell("in two weeks"),
    }
    return sorted(days.items())
