"""Many animals put into tanks at once: who is in none, where a table said they were, the act."""

import datetime
import re
from collections.abc import Collection, Mapping, Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Animal
from breeding.housing.models import Stay
from breeding.housing.queries import Place, present_stays
from breeding.housing.services import move_animal
from breeding.housing.stays.forms import DayForm
from breeding.program.models import Person
from breeding.program.problems.doubts import Doubt, DoubtError
from breeding.words.language import tell

AT_ONCE = 150
_TANK_SAID = re.compile(
    r"(?:^|[;\n])\s*(?:tank|becken|aquarium)[^:;]{0,20}: ([^;\n]+)", re.IGNORECASE
)
_MOST_ROUNDS = 3
_TO_BE_SAID = "to be said"  # stands for a reason while everything is asked; is never kept


def in_no_tank() -> "QuerySet[Animal]":
    """Animals that are here and in no tank, by name."""
    inside = present_stays().values("animal")
    return Animal.objects.filter(state=Animal.State.HERE).exclude(pk__in=inside).order_by("code")


class PlacingForm(DayForm):
    """A tank for each of these animals; nothing chosen leaves it where it is."""

    def __init__(
        self,
        *args: Any,
        animals: Sequence[Animal],
        places: Sequence[Place],
        today: datetime.date,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, today=today, label=tell("There since"), **kwargs)
        self.animals = list(animals)
        self.places = {place.key: place for place in places}
        named = {str(place).casefold(): key for key, place in self.places.items()}
        choices = [("", _("not yet")), *((key, str(place)) for key, place in self.places.items())]
        self.fields["rest"] = forms.ChoiceField(
            choices=choices, required=False, label=_("All for whom nothing is chosen below")
        )
        for one in self.animals:
            self.fields[f"place_{one.pk}"] = forms.ChoiceField(
                choices=choices,
                required=False,
                initial=named.get(_said_tank(one), ""),
                label=one.full_name,
            )

    def rows(self) -> list[tuple[Animal, forms.BoundField]]:
        return [(one, self[f"place_{one.pk}"]) for one in self.animals]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        if not self.errors and not self.chosen():
            raise ValidationError(tell("Choose a tank for at least one of them."))
        return cleaned

    def chosen(self) -> dict[Animal, Place]:
        rest = self.cleaned_data.get("rest")
        return {
            one: self.places[key]
            for one in self.animals
            if (key := self.cleaned_data.get(f"place_{one.pk}") or rest)
        }


def _said_tank(animal: Animal) -> str:
    """The tank that a table named, which went into the note; empty for none."""
    found = _TANK_SAID.search(animal.note)
    return found[1].strip().casefold() if found else ""


@transaction.atomic
def place_many(
    chosen: Mapping[Animal, Place],
    *,
    on: datetime.date,
    by: Person | None,
    sure: Collection[str] = frozenset(),
    reason: str = "",
) -> list[Stay]:
    """Move each into its tank, all or none; each meets those there and those placed before it.

    Raises ValidationError at the field of an animal, and DoubtError with everything that is asked.
    """
    doubts: list[Doubt] = []
    problems: dict[str, list[str]] = {}
    stays = []
    for one, place in chosen.items():
        answered, why = frozenset(sure), reason
        for _round in range(_MOST_ROUNDS):
            try:
                stay = move_animal(
                    one, place.tank, on=on, by=by, side=place.side, sure=answered, reason=why
                )
            except DoubtError as asked:
                new = [doubt for doubt in asked.doubts if doubt.mark not in answered]
                doubts += new or asked.doubts
                answered |= {doubt.mark for doubt in new}
                why = reason or _TO_BE_SAID
            except ValidationError as problem:
                problems[f"place_{one.pk}"] = problem.messages
                break
            else:
                stays += [stay] if stay is not None else []
                break
    if problems:
        raise ValidationError(problems)
    if doubts:
        raise DoubtError({doubt.mark: doubt for doubt in doubts}.values())
    return stays
