"""What is said of a pup when it is found, and how many there can be."""

import datetime
from dataclasses import dataclass

from django.core.exceptions import ValidationError

from breeding.animals.models import Animal
from breeding.program.problems.doubts import threshold
from breeding.words.language import tell

DAYS_BETWEEN_BIRTHS = 21
MOST_PUPS = round(threshold("pups_most"))


@dataclass(frozen=True)
class PupFacts:
    """One pup as it was found."""

    alive: bool = True
    sex: str = Animal.Sex.UNKNOWN
    disc_width_mm: int | None = None
    markings: str = ""
    weight_g: int | None = None
    yolk: str = ""  # one of Pup.Yolk
    born_on: datetime.date | None = None  # where it was later than the first of its litter

    @property
    def sizes(self) -> dict[str, int | None]:
        """What was measured of it, as a measurement has it."""
        return {"disc_width_mm": self.disc_width_mm, "weight_g": self.weight_g}


def check_number(number: int) -> None:
    """Raise ValidationError for a birth without a pup, and for more than one litter can have."""
    if not number:
        raise ValidationError(tell("A litter has at least one pup, alive or dead."))
    if number > MOST_PUPS:
        raise ValidationError(
            tell(
                "{number} pups are more than this can take ({most}).", number=number, most=MOST_PUPS
            )
        )
