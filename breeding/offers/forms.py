"""What is offered of a litter, as it is typed."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from breeding.buyers.models import (
    STANDING,
    Reservation,
)
from breeding.litters.models import Litter, Pup
from breeding.litters.queries import PupReading
from breeding.offers.models import SalesPage
from breeding.program.fields import read_whole
from breeding.program.forms import DayInput
from breeding.program.generics import ModelMultipleChoiceField
from breeding.words.language import tell


class PupsField(ModelMultipleChoiceField):
    """Pups of one litter, each with its name, size and whether it is free."""

    def __init__(self, *, words: dict[int, str], **kwargs: Any) -> None:
        super().__init__(widget=forms.CheckboxSelectMultiple, **kwargs)
        self.words = words

    def label_from_instance(self, obj: Any) -> str:
        return self.words.get(obj.pk, str(obj))

    def clean(self, value: Any) -> Any:
        for one in value or ():
            if read_whole(str(one)) is None:
                raise ValidationError(
                    tell("“{one}” is no pup of this litter; choose below.", one=str(one)[:40])
                )
        return super().clean(value)


def _offered_words(one: PupReading, kept: set[int]) -> str:
    animal = one.pup.animal
    if animal is None:
        return str(one.pup)
    state = tell("reserved for somebody") if animal.pk in kept else animal.get_state_display()
    return f"{animal.full_name}, {animal.get_sex_display()}, {state}"


class SalesForm(forms.Form):
    """Which pups of a litter are shown, and what the keeper says of them."""

    words = forms.CharField(
        max_length=1500,
        required=False,
        widget=forms.Textarea(attrs={"rows": 5}),
        label=_("In your own words"),
        help_text=_(
            "How they were raised, what they eat, how to reach you. Anybody with the link can "
            "read it. Descent, F and what is unknown are added by the program."
        ),
    )

    def __init__(
        self,
        *args: Any,
        litter: Litter,
        page: SalesPage | None,
        pups: list[PupReading],
        **kwargs: Any,
    ) -> None:
        kwargs["initial"] = {
            "words": page.words if page else "",
            "pups": [one.pk for one in page.pups.all()] if page else [one.pup.pk for one in pups],
        }
        super().__init__(*args, **kwargs)
        kept = set(
            Reservation.objects.filter(
                STANDING, animal__in=[one.pup.animal_id for one in pups]
            ).values_list("animal_id", flat=True)
        )
        self.fields["pups"] = PupsField(
            queryset=Pup.objects.filter(litter=litter, animal__isnull=False),
            words={one.pup.pk: _offered_words(one, kept) for one in pups},
            required=False,
            label=tell("Shown, as long as they are here and reserved for nobody"),
        )
        self.order_fields(["pups", "words"])


class SalesLinkForm(forms.Form):
    """Until when the link leads to the page."""

    last_day = forms.DateField(
        widget=DayInput(),
        required=False,
        label=_("Last day"),
        help_text=_("Empty: until you close it."),
    )
