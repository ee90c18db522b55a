"""Forms of observations, treatments and visits: they clean what was typed."""

import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from breeding.animals.away.gone import GONE
from breeding.animals.models import Animal
from breeding.animals.typed.choosing import AnimalChoice
from breeding.animals.typed.fields import PhotographField
from breeding.health.illness.treating import Prescribed
from breeding.health.models import Observation, Treatment, Visit
from breeding.housing.models import Tank
from breeding.program.acts.as_on_record import AsOnRecord
from breeding.program.forms import DayInput
from breeding.program.generics import ModelChoiceField
from breeding.program.typed.names import validate_name
from breeding.words.language import tell

TODAY, YESTERDAY, A_DAY = "today", "yesterday", "day"


def everybody_not_gone() -> Any:
    """Those of whom something can be written down now: here or on loan, by name."""
    return Animal.objects.exclude(state__in=GONE).order_by("call_name", "code")


class ObservationForm(forms.Form):
    """Who, what, since when; all else can stay empty."""

    animal = AnimalChoice(
        queryset=Animal.objects.none(),
        label=_("Who"),
        empty_label=_("choose"),
        error_messages={"required": _("Choose who it is.")},
    )
    kind = forms.ChoiceField(
        label=_("Kind"),
        choices=Observation.Kind.choices,
        error_messages={
            "required": _("Choose what you see."),
            "invalid_choice": _("“%(value)s” is not one of the choices; choose one below."),
        },
    )
    since_when = forms.ChoiceField(
        label=_("Since when"),
        choices=[(TODAY, _("today")), (YESTERDAY, _("yesterday")), (A_DAY, _("the day below"))],
        required=False,
        error_messages={"invalid_choice": _("“%(value)s” is not a day; choose one below.")},
    )
    since = forms.DateField(widget=DayInput(), required=False, label=_("Since this day"))
    note = forms.CharField(max_length=400, required=False, label=_("Note"))
    photograph = PhotographField(
        required=False,
        label=_("Photograph"),
        help_text=_("JPEG, PNG or WebP; where it was taken is removed."),
    )

    def __init__(self, *args: Any, today: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["animal"].queryset = everybody_not_gone()  # type: ignore[attr-defined]
        self.fields["since_when"].initial = TODAY

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        when = cleaned.pop("since_when", "") or (A_DAY if cleaned.get("since") else TODAY)
        if when == A_DAY:
            if cleaned.get("since") is None and "since" not in self.errors:
                self.add_error("since", tell("Since which day? Choose it here."))
        else:
            back = 1 if when == YESTERDAY else 0
            cleaned["since"] = self.today - datetime.timedelta(days=back)
        return cleaned


class OverForm(forms.Form):
    """On which day it was seen to be over."""

    on = forms.DateField(widget=DayInput(), label=_("It was over on"))


class ObservationChangeForm(AsOnRecord):
    """What ailed an animal, since when, until when, and its picture."""

    FIELDS = ("kind", "since", "over_on", "note")
    kind = forms.ChoiceField(choices=Observation.Kind.choices, label=_("What was seen"))
    since = forms.DateField(widget=DayInput(), label=_("Since"))
    over_on = forms.DateField(
        widget=DayInput(),
        required=False,
        label=_("Over on"),
        help_text=_("Empty: it is not over."),
    )
    note = forms.CharField(max_length=400, required=False, label=_("Note"))
    photograph = PhotographField(required=False, label=_("Photograph"))
    without_photograph = forms.BooleanField(
        required=False, label=_("The photograph does not belong to it")
    )

    def __init__(self, *args: Any, record: Observation, **kwargs: Any) -> None:
        on_record = {name: getattr(record, name) for name in self.FIELDS}
        super().__init__(*args, on_record=on_record, **kwargs)
        if record.photograph_id is None:
            del self.fields["without_photograph"]
        else:
            self.fields["photograph"].label = tell("Another photograph")


class _OfOneOrWater(forms.Form):
    """Of one animal, or of the water of a tank."""

    animal = AnimalChoice(
        queryset=Animal.objects.none(), required=False, label=_("Animal"), empty_label=_("none")
    )
    tank = ModelChoiceField(
        queryset=Tank.objects.none(), required=False, label=_("Tank"), empty_label=_("none")
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["animal"].queryset = everybody_not_gone()  # type: ignore[attr-defined]
        self.fields["tank"].queryset = Tank.objects.order_by("name")  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        chosen = [cleaned.get(name) for name in ("animal", "tank")]
        given = [one for one in chosen if one is not None]
        if len(given) != 1 and not self.errors:
            raise ValidationError(
                tell("Choose one: an animal, or a tank and all who are in its water.")
            )
        cleaned["who"] = given[0] if given else None
        return cleaned

    def facts(self) -> dict[str, Any]:
        """What the service wants: whom it is about, once."""
        return {k: v for k, v in self.cleaned_data.items() if k not in ("animal", "tank")}


class _Prescription(forms.Form):
    """What is given, as it was prescribed."""

    remedy = forms.CharField(
        max_length=80,
        label=_("What is given"),
        validators=[validate_name],
        help_text=_("Its name."),
    )
    dose = forms.CharField(
        max_length=120,
        required=False,
        label=_("Dose"),
        validators=[validate_name],
        help_text=_("As it was prescribed, in the same words. Nothing here proposes one."),
    )
    prescribed_by = forms.CharField(
        max_length=80,
        required=False,
        label=_("Prescribed by"),
        validators=[validate_name],
        help_text=_(
            "A veterinarian decides on every dose. Empty is recorded as “by nobody on record”."
        ),
    )
    against = forms.CharField(max_length=200, required=False, label=_("Against what"))
    since = forms.DateField(widget=DayInput(), label=_("From"))
    until = forms.DateField(
        widget=DayInput(),
        required=False,
        label=_("To, the last day"),
        help_text=_("Empty while nobody knows; the hold lasts as long as it goes on."),
    )
    hold_until = forms.DateField(
        widget=DayInput(),
        required=False,
        label=_("Not to be sold, moved or bred until"),
        help_text=_("The first day on which that is done again, as the veterinarian says."),
    )
    note = forms.CharField(max_length=400, required=False, label=_("Note"))

    def given(self) -> Prescribed:
        """What was typed, as the service takes it."""
        names = Prescribed.__dataclass_fields__
        return Prescribed(**{name: self.cleaned_data[name] for name in names})


class TreatmentForm(_OfOneOrWater, _Prescription):
    """A treatment of an animal or of a tank's water."""

    def __init__(self, *args: Any, today: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["since"].initial = today


class EndForm(forms.Form):
    """The last day of a treatment, and until when those treated are held."""

    until = forms.DateField(widget=DayInput(), label=_("Its last day"))
    hold_until = forms.DateField(
        widget=DayInput(),
        required=False,
        label=_("Not to be sold, moved or bred until"),
        help_text=_("The first day on which that is done again, as the veterinarian says."),
    )


class TreatmentChangeForm(AsOnRecord, _Prescription):
    """What was given, as it was prescribed, and its days."""

    def __init__(self, *args: Any, record: Treatment, **kwargs: Any) -> None:
        names = Prescribed.__dataclass_fields__
        on_record = {name: getattr(record, name) for name in names}
        super().__init__(*args, on_record=on_record, **kwargs)


class _Seen(forms.Form):
    """What a veterinarian found."""

    on = forms.DateField(widget=DayInput(), label=_("On"))
    by = forms.CharField(
        max_length=80, required=False, label=_("By whom"), validators=[validate_name]
    )
    found = forms.CharField(
        max_length=2000,
        required=False,
        label=_("What was found"),
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    look_again_on = forms.DateField(
        widget=DayInput(),
        required=False,
        label=_("Look again on"),
        help_text=_("The day then reminds of it."),
    )


class VisitForm(_OfOneOrWater, _Seen):
    """A veterinarian looked at an animal or a tank."""

    def __init__(self, *args: Any, today: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["on"].initial = today


class VisitChangeForm(AsOnRecord, _Seen):
    """The day, the veterinarian and what was found."""

    def __init__(self, *args: Any, record: Visit, **kwargs: Any) -> None:
        on_record = {name: getattr(record, name) for name in ("on", "by", "found", "look_again_on")}
        super().__init__(*args, on_record=on_record, **kwargs)
