"""Whether an animal can have been here on a day."""

import datetime

from django.core.exceptions import ValidationError

from breeding.animals.models import Animal
from breeding.animals.typed.fields import EARLIEST_YEAR
from breeding.words.days import long_day
from breeding.words.language import message, tell

DIED_ON = message("{animal} died on {then}; {day} is later.")
LEFT_ON = message("{animal} left on {then}; {day} is later.")
DIED = message("{animal} died; {day} is later.")
LEFT = message("{animal} left; {day} is later.")


def check_was_here(animal: Animal, on: datetime.date, field: str) -> None:
    """Raise ValidationError when the animal was not born yet, or dead or gone, on that day."""
    if on.year < EARLIEST_YEAR:
        raise ValidationError(
            {
                field: tell(
                    "{day} is too long ago; the earliest year is {year}.",
                    day=on,
                    year=EARLIEST_YEAR,
                )
            }
        )
    if animal.born_on is not None and on < animal.born_on:
        raise ValidationError(
            {
                field: tell(
                    "{animal} was born on {birthday}, after {day}.",
                    animal=animal.name,
                    birthday=long_day(animal.born_on),
                    day=long_day(on),
                )
            }
        )
    if animal.was_gone(on):
        raise ValidationError({field: _gone_by_then(animal, on)})


def _gone_by_then(animal: Animal, on: datetime.date) -> str:
    """The sentence that refuses a day after it died or left."""
    died = animal.state == Animal.State.DIED
    if animal.state_on is None:
        sentence = DIED if died else LEFT
        return tell(sentence, animal=animal.name, day=long_day(on))
    sentence = DIED_ON if died else LEFT_ON
    then = long_day(animal.state_on)
    return tell(sentence, animal=animal.name, then=then, day=long_day(on))
