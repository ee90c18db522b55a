"""Forms of quarantine: they clean what was typed."""

import datetime
from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.health.apart.services import MOST_DAYS
from breeding.health.models import Quarantine
from breeding.program.acts.as_on_record import AsOnRecord
from breeding.program.forms import DayInput
from breeding.program.generics import ModelMultipleChoiceField
from breeding.program.typed.numbers import TypedWhole
from breeding.words.language import tell

NOTE = 400


class AnimalsTicked(ModelMultipleChoiceField):
    """Several animals, each a box to tick."""

    widget = forms.CheckboxSelectMultiple

    def label_from_instance(self, obj: Any) -> str:
        return str(obj.full_name)


def _those(animals: Iterable[Animal]) -> Any:
    keys = [one.pk for one in animals]
    return Animal.objects.filter(pk__in=keys).order_by("call_name", "code")


class _WithAnimals(forms.Form):
    """Of these animals those that are ticked."""

    animals = AnimalsTicked(
        queryset=Animal.objects.none(),
        label=_("Who"),
        error_messages={"required": _("Tick at least one.")},
    )

    def __init__(self, *args: Any, among: Iterable[Animal], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["animals"].queryset = _those(among)  # type: ignore[attr-defined]


class KeepApartForm(_WithAnimals):
    """Who is kept apart by word, since when, for how long at least."""

    since = forms.DateField(widget=DayInput(), label=_("Since"))
    least_days = TypedWhole(
        min_value=1,
        max_value=MOST_DAYS,
        required=False,
        label=_("Days at least"),
        help_text=_("Empty: as many as for every arrival."),
    )
    note = forms.CharField(max_length=NOTE, required=False, label=_("Note"))


class LetOutForm(_WithAnimals):
    """Whose quarantine ends, when and how."""

    result = forms.ChoiceField(
        choices=Quarantine.Result.choices,
        widget=forms.RadioSelect,
        label=_("How it ends"),
        error_messages={
            "required": _("Choose how it ends."),
            "invalid_choice": _("“%(value)s” is not one of the choices; choose one below."),
        },
    )
    on = forms.DateField(widget=DayInput(), label=_("On"))
    note = forms.CharField(
        max_length=NOTE,
        required=False,
        label=_("Why, or what was found"),
        help_text=_("Asked for when it ends before its time."),
    )


class QuarantineChangeForm(AsOnRecord):
    """The days of a quarantine, how it ended, and the note."""

    FIELDS = ("since", "least_days", "ended_on", "result", "note")
    since = forms.DateField(widget=DayInput(), required=False, label=_("Since"))
    least_days = TypedWhole(
        min_value=1, max_value=MOST_DAYS, required=False, label=_("Days at least")
    )
    ended_on = forms.DateField(
        widget=DayInput(), required=False, label=_("Ended on"), help_text=_("Empty: it goes on.")
    )
    result = forms.ChoiceField(
        choices=[("", _("it goes on")), *Quarantine.Result.choices],
        required=False,
        label=_("How it ended"),
    )
    note = forms.CharField(max_length=NOTE, required=False, label=_("Note"))

    def __init__(self, *args: Any, record: Quarantine, **kwargs: Any) -> None:
        on_record = {name: getattr(record, name) for name in self.FIELDS}
        super().__init__(*args, on_record=on_record, **kwargs)
        if record.since is None:
            self.fields["since"].disabled = True
            self.fields["since"].help_text = tell("Its stay in a tank for quarantine says it.")
            self.fields["least_days"].disabled = True


def day_of(today: datetime.date) -> dict[str, datetime.date]:
    """What a form of today begins with."""
    return {"on": today, "since": today}
