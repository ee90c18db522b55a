"""What is written down of a pup together with its birth: its first size, and where it lives."""

import datetime

from django.core.exceptions import ValidationError
from django.db import models

from breeding.animals.models import Animal, Measurement
from breeding.housing.models import Stay
from breeding.litters.models import Pup
from breeding.words.days import long_day
from breeding.words.language import message, tell


def birth_measurement(pup: Pup) -> Measurement | None:
    """The size that was written with the birth, and nothing else on that row."""
    sizes = {"disc_width_mm": pup.disc_width_mm, "weight_g": pup.weight_g}
    if pup.animal is None or pup.is_joined or not any(sizes.values()):
        return None
    nothing_else = {"back_height_mm": None, "girth_mm": None, "condition": None, "note": ""}
    return (
        pup.animal.measurements.filter(on=pup.day, **sizes, **nothing_else).order_by("pk").first()
    )


def first_stay(pup: Pup) -> Stay | None:
    """Where it has lived since its birth: in the tank of the dam as she was then."""
    if pup.animal is None or pup.is_joined:
        return None
    first = pup.animal.stays.select_related("tank").order_by("since", "pk").first()
    if first is None or first.since == pup.day:
        return first
    hers = _stay_of_dam(first, pup.litter.dam)
    return first if hers is not None and hers.since == first.since else None


def beginnings(pup: Pup) -> list[models.Model]:
    """All that was written with its birth and belongs to it."""
    return [row for row in (birth_measurement(pup), first_stay(pup)) if row is not None]


def move_beginnings(pup: Pup, born_on: datetime.date, dam: Animal) -> None:
    """The same rows for another day of birth, before the pup itself is given that day.

    Raises ValidationError at `born_on` when something else of the pup is older than that day.
    """
    if pup.animal is None:
        return
    size, stay = birth_measurement(pup), first_stay(pup)
    own: set[tuple[type[models.Model], int]] = {
        (type(row), row.pk) for row in (size, stay) if row is not None
    }
    _refuse_older(pup.animal, born_on, own)
    if size is not None:
        size.on = born_on
        size.save()
    if stay is not None:
        _begin(stay, born_on, pup, dam)


def _begin(stay: Stay, born_on: datetime.date, pup: Pup, dam: Animal) -> None:
    if stay.until is not None and stay.until < born_on:
        raise ValidationError(
            {
                "born_on": tell(
                    "{animal} was in {place} until {day}, before {born}; correct that stay first.",
                    animal=pup.animal,
                    place=stay.place,
                    day=long_day(stay.until),
                    born=long_day(born_on),
                )
            }
        )
    hers = _stay_of_dam(stay, dam)
    there_since = hers.since if hers is not None else stay.since
    if stay.since == pup.day and hers is None:
        there_since = born_on  # nothing says where its dam was: it was there from its birth on
    since = max(born_on, there_since)
    if since != stay.since:
        stay.since = since
        stay.save()


def _stay_of_dam(stay: Stay, dam: Animal) -> Stay | None:
    """Her stay in that tank that had begun when the pup's begins; the latest."""
    hers = Stay.objects.filter(animal=dam, tank=stay.tank_id, since__lte=stay.since)
    return hers.order_by("-since", "-pk").first()


def _refuse_older(
    animal: Animal, born_on: datetime.date, own: set[tuple[type[models.Model], int]]
) -> None:
    """Raise ValidationError when something of the animal's life is older than its birth."""
    found: list[tuple[datetime.date, str, str]] = [
        *(
            (row.on, MEASURED, "")
            for row in _others(animal.measurements.all(), own)
            if row.on is not None
        ),
        *((row.since, IN_PLACE, row.place) for row in _stays(animal, own)),
        *(
            (row.taken_on, PICTURED, "")
            for row in animal.photographs.filter(taken_on__isnull=False)
            if row.taken_on is not None
        ),
    ]
    early = [one for one in found if one[0] < born_on]
    if early:
        on, said, place = min(early)
        words = tell(
            said, animal=animal.name, day=long_day(on), born=long_day(born_on), place=place
        )
        raise ValidationError({"born_on": words})


# What can be older than the birth, after the day of which nothing happened.
MEASURED = message(
    "{animal} was measured on {day}, before {born}; a pup is born before anything else happens to "
    "it."
)
IN_PLACE = message(
    "{animal} was in {place} on {day}, before {born}; a pup is born before anything else happens "
    "to it."
)
PICTURED = message(
    "{animal} was pictured on {day}, before {born}; a pup is born before anything else happens to "
    "it."
)


def _others(
    rows: "models.QuerySet[Measurement]", own: set[tuple[type[models.Model], int]]
) -> list[Measurement]:
    return [row for row in rows if (type(row), row.pk) not in own]


def _stays(animal: Animal, own: set[tuple[type[models.Model], int]]) -> list[Stay]:
    stays = animal.stays.select_related("tank")
    return [row for row in stays if (type(row), row.pk) not in own]
