"""What stands against a stay, and how it is said."""

import datetime
from collections.abc import Sequence

from django.core.exceptions import ValidationError
from django.utils import timezone

from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank
from breeding.words.days import born_words, long_day
from breeding.words.language import tell
from breeding.words.numbers import joined


def check_in_use(tank: Tank) -> None:
    """Raise ValidationError for a tank that was given up: nobody is put there."""
    if tank.withdrawn_at is not None:
        since = long_day(timezone.localdate(tank.withdrawn_at))
        raise ValidationError(
            {
                "tank": tell(
                    "{tank} was given up on {day}; bring it back before it is used.",
                    tank=tank,
                    day=since,
                )
            }
        )


def check_day(animal: Animal, on: datetime.date, *, field: str = "on") -> None:
    """Raise ValidationError, at the field, for a day before the animal was born."""
    if animal.born_on is not None and on < animal.born_on:
        born = born_words(animal.born_on, animal.born_precision)
        raise ValidationError(
            {
                field: tell(
                    "{animal} was born {born}, after {day}; choose a later day.",
                    animal=animal.name,
                    born=born,
                    day=long_day(on),
                )
            }
        )


def in_the_way_words(animal: Animal, stay: Stay) -> str:
    """That a stay on record leaves no room for another."""
    said = {"animal": animal.name, "place": stay.place, "since": long_day(stay.since)}
    if stay.until:
        return tell(
            "In the way: {animal} is on record in {place} from {since} to {until}. Correct or "
            "withdraw that stay first.",
            **said,
            until=long_day(stay.until),
        )
    return tell(
        "In the way: {animal} is on record in {place} from {since} until now. Correct or withdraw "
        "that stay first.",
        **said,
    )


def gone_words(animal: Animal) -> str:
    """That one that died or left is put in no tank."""
    said = {"animal": animal.name, "state": animal.get_state_display()}
    if animal.state_on is None:
        return tell("{animal} {state}; only an animal that is here can be moved to a tank.", **said)
    return tell(
        "{animal} {state} on {day}; only an animal that is here can be moved to a tank.",
        **said,
        day=long_day(animal.state_on),
    )


def check_parting(
    tank: Tank, inside: Sequence[Stay], named: Sequence[Animal], on: datetime.date
) -> None:
    """Raise ValidationError where a divider cannot part those in a tank as they are named."""
    if not tank.can_divide:
        raise ValidationError(
            tell("{tank} has no divider on record; change the tank first.", tank=tank)
        )
    if any(stay.side for stay in inside):
        raise ValidationError(
            tell(
                "The divider of {tank} is closed on {day} already; move an animal to change its "
                "side.",
                tank=tank,
                day=long_day(on),
            )
        )
    if not inside:
        raise ValidationError(
            tell(
                "Nobody is in {tank} on {day}; there is nobody to part.",
                tank=tank,
                day=long_day(on),
            )
        )
    _check_named(tank, inside, named, on)


def _check_named(
    tank: Tank, inside: Sequence[Stay], named: Sequence[Animal], on: datetime.date
) -> None:
    """Each of those inside once, and nobody else."""
    there = {stay.animal_id for stay in inside}
    for animal in named:
        if animal.pk not in there:
            raise ValidationError(
                tell(
                    "{animal} is not in {tank} on {day}.",
                    animal=animal.name,
                    tank=tank,
                    day=long_day(on),
                )
            )
    twice = {animal.name for animal in named if named.count(animal) > 1}
    if twice:
        raise ValidationError(
            tell("{names} cannot be on both sides; choose one.", names=joined(sorted(twice)))
        )
    keys = {animal.pk for animal in named}
    left_out = sorted(stay.animal.name for stay in inside if stay.animal_id not in keys)
    if left_out:
        raise ValidationError(
            tell("On which side is {names}? Choose left or right.", names=joined(left_out))
        )
