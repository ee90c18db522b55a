"""What is said of a pup when it is found, and how many there can be."""

from dataclasses import dataclass

from breeding.animals.models import Animal
from breeding.program.problems.doubts import threshold

MOST_PUPS = round(threshold("pups_most"))


@dataclass(frozen=True)
class PupFacts:
    """One pup as it was found."""

    alive: bool = True
    sex: str = Animal.Sex.UNKNOWN
    disc_width_mm: int | None = None
    markings: str = ""
