"""One young one of a year and what became of it, as far as it is on record; pure."""

import datetime
from dataclasses import dataclass
from typing import Literal

from breeding.planning.year.statistics import Life

Fate = Literal["dead at birth", "died", "left", "here"]


@dataclass(frozen=True)
class Young:
    """Born on a day, and known for so many days.

    sires: one that is certain, several that are possible, or none that is known. days: its age
    when it died or left, or now; None when that day is not on record. leaves_at: the age in days
    at which young of its species can leave. cause: what it died of, as far as that is on record.
    """

    litter: int
    born_on: datetime.date
    dam: int
    sires: tuple[int, ...]
    sex: str
    fate: Fate
    days: int | None
    leaves_at: int = 42
    cause: str = ""

    @property
    def was_alive(self) -> bool:
        return self.fate != "dead at birth"

    def lived_to(self, days: int) -> bool | None:
        """Whether it was alive at this age; None: too young, gone before, or its day unknown."""
        if self.days is None:
            return None
        if self.days >= days:
            return True
        return False if self.fate == "died" else None

    @property
    def lived_to_leave(self) -> bool | None:
        """Whether it left alive, or was alive at the age at which it could have."""
        return True if self.fate == "left" else self.lived_to(self.leaves_at)

    @property
    def life(self) -> Life | None:
        """For the curve; None: born dead, or its day is not on record."""
        if not self.was_alive or self.days is None:
            return None
        return Life(self.days, self.fate == "died")
