"""Whether an animal can have been here on a day."""

import datetime

from django.core.exceptions import ValidationError

from breeding.animals.fields import EARLIEST_YEAR
from breeding.animals.models import Animal
from breeding.words.days import long_day


def check_was_here(animal: Animal, on: datetime.date, field: str) -> None:
    """Raise ValidationError when the animal was not born yet, or dead or gone, on that day."""
    if on.year < EARLIEST_YEAR:
        raise ValidationError(
            {field: f"{on} is too long ago; the earliest year is {EARLIEST_YEAR}."}
        )
    if animal.born_on is not None and on < animal.born_on:
        raise ValidationError(
            {field: f"{animal.name} was born on {long_day(animal.born_on)}, after {long_day(on)}."}
        )
    if animal.was_gone(on):
        since = f" on {long_day(animal.state_on)}" if animal.state_on else ""
        raise ValidationError(
            {field: f"{animal.name} {animal.get_state_display()}{since}; {long_day(on)} is later."}
        )
