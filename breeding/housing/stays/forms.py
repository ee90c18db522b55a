"""Forms about who is where: moves, dividers, old news and corrections."""

import datetime
from collections.abc import Iterable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.animals.typed.fields import EARLIEST_YEAR
from breeding.housing.models import Look, Stay, Tank
from breeding.housing.queries import Place
from breeding.housing.stays.following import Offer
from breeding.program.acts.as_on_record import AsOnRecord
from breeding.program.forms import DayInput
from breeding.program.generics import ModelChoiceField
from breeding.words.days import long_day
from breeding.words.language import tell, tell_as

NO_TANK = "none"


class PastDayField(forms.DateField):
    """A day that is not to come, and not before anybody kept tanks."""

    def __init__(self, *, today: datetime.date, **kwargs: Any) -> None:
        self.today = today
        super().__init__(widget=DayInput(), **kwargs)

    def clean(self, value: Any) -> datetime.date | None:
        on: datetime.date | None = super().clean(value)
        if on is not None and on > self.today:
            raise ValidationError(
                tell("{day} is still to come; write it down on the day.", day=long_day(on))
            )
        if on is not None and on.year < EARLIEST_YEAR:
            raise ValidationError(
                tell(
                    "The year {year} is too early; from {earliest} on.",
                    year=on.year,
                    earliest=EARLIEST_YEAR,
                )
            )
        return on


class DayForm(forms.Form):
    """Only a day."""

    def __init__(self, *args: Any, today: datetime.date, label: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["on"] = PastDayField(today=today, label=label, initial=today)


class MoveForm(DayForm):
    """Where to, and when. Out of all tanks is a choice of its own: nothing chosen moves nobody."""

    tank = forms.ChoiceField(
        label=_("Where to"), error_messages={"required": _("Choose a tank, or “no tank”.")}
    )
    old_news = forms.BooleanField(
        required=False, label=_("It is old news: it was moved then, and nobody wrote it down")
    )

    def __init__(
        self,
        *args: Any,
        places: Iterable[Place],
        today: datetime.date,
        offers: Iterable[Offer] = (),
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, today=today, label=tell("Moved on"), **kwargs)
        self.offers = list(offers)
        for offer in self.offers:
            self.fields[offer.key] = forms.BooleanField(
                required=False, initial=True, label=offer.label
            )
        self.places = {place.key: place for place in places}
        choices = [(key, str(place)) for key, place in self.places.items()]
        self.fields["tank"].choices = [*choices, (NO_TANK, tell("no tank"))]  # type: ignore[attr-defined]

    def offer_fields(self) -> list[forms.BoundField]:
        return [self[offer.key] for offer in self.offers]

    def clean_tank(self) -> tuple[Tank | None, str]:
        place = self.places.get(self.cleaned_data["tank"])
        return (place.tank, place.side) if place is not None else (None, "")


class DivideForm(DayForm):
    """Which side each of those in a tank is on."""

    def __init__(
        self, *args: Any, stays: Iterable[Stay], today: datetime.date, **kwargs: Any
    ) -> None:
        super().__init__(*args, today=today, label=tell("Closed on"), **kwargs)
        self.animals = {f"side_{stay.animal_id}": stay.animal for stay in stays}
        for name, animal in self.animals.items():
            self.fields[name] = forms.ChoiceField(
                label=animal.name,
                choices=[("left", tell("left")), ("right", tell("right"))],
                widget=forms.RadioSelect,
                error_messages={"required": tell("On which side is {animal}?", animal=animal.name)},
            )

    def side_fields(self) -> list[tuple[Animal, forms.BoundField]]:
        return [(animal, self[name]) for name, animal in self.animals.items()]

    def on_side(self, side: str) -> list[Animal]:
        return [
            animal for name, animal in self.animals.items() if self.cleaned_data.get(name) == side
        ]


def place_choices(tanks: Iterable[Tank]) -> list[tuple[str, str]]:
    """Every tank, and both sides of those with a divider: for days on which nobody knows it."""
    choices = [("", tell("choose one"))]
    for tank in tanks:
        choices.append((f"{tank.pk}", str(tank)))
        if tank.can_divide:
            for side in (Stay.Side.LEFT, Stay.Side.RIGHT):
                choices.append((f"{tank.pk}:{side}", Stay(tank=tank, side=side).place))
    return choices


class StayForm(forms.Form):
    """A tank or a side of it, from a day to a day."""

    place = forms.ChoiceField(label=_("Tank"))

    def __init__(
        self,
        *args: Any,
        tanks: Iterable[Tank],
        today: datetime.date,
        may_be_open: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.tanks = {tank.pk: tank for tank in tanks}
        self.fields["place"].choices = place_choices(self.tanks.values())  # type: ignore[attr-defined]
        self.fields["since"] = PastDayField(today=today, label=tell("From"))
        self.fields["until"] = PastDayField(
            today=today,
            label=tell_as("the last day", "To"),
            required=not may_be_open,
            help_text=tell("Leave empty while it is still there.") if may_be_open else "",
        )

    def clean_place(self) -> tuple[Tank, str]:
        key, _, side = self.cleaned_data["place"].partition(":")
        return self.tanks[int(key)], side


class CorrectionForm(StayForm):
    """A stay written anew, and why."""

    neighbours_follow = forms.BooleanField(
        required=False,
        initial=True,
        label=_("Move the stays just before and after with it, so that no gap is left"),
    )
    reason = forms.CharField(max_length=150, label=_("Why is it corrected?"))
    field_order = ("place", "since", "until", "neighbours_follow", "reason")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, may_be_open=True, **kwargs)
        self.order_fields(self.field_order)


class StayWithdrawForm(forms.Form):
    """Why it never was there, and whether the stay before goes on in its stead."""

    reason = forms.CharField(max_length=150, label=_("Why is it withdrawn?"))

    def __init__(self, *args: Any, previous: Stay | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if previous is not None:
            self.fields["back_to_previous"] = forms.BooleanField(
                required=False,
                initial=True,
                label=tell("It stayed in {place} instead", place=previous.place),
            )


class LookChangeForm(AsOnRecord):
    """Which tank all were looked at in, and when."""

    def __init__(self, *args: Any, record: Look, today: datetime.date, **kwargs: Any) -> None:
        super().__init__(*args, on_record={"tank": record.tank, "on": record.on}, **kwargs)
        tanks = Tank.every.filter(Q(withdrawn_at__isnull=True) | Q(pk=record.tank_id))
        self.fields["tank"] = ModelChoiceField(queryset=tanks, empty_label=None, label=tell("Tank"))
        self.fields["on"] = PastDayField(today=today, label=tell("Looked at on"))
