"""How many young a litter has: one figure for every page that reckons with a litter to come."""

import datetime
import math
from dataclasses import dataclass

from breeding.litters.models import Litter, Pup
from breeding.program.unchanged.values import kept_while_unchanged
from breeding.words.language import tell
from breeding.words.numbers import figure
from pedigree.ahead.assumptions import Assumptions

BACK_YEARS = 5  # of so many the program's own records speak
LEAST_RECORDS = 8  # with fewer the assumption stands; an assumption itself
YEAR = datetime.timedelta(days=365)


@dataclass(frozen=True)
class LitterSize:
    """Young born alive in a litter, on average, at least one; litters: 0 where it is assumed."""

    mean: float
    litters: int

    @property
    def young(self) -> int:
        """In whole young, a half counted up: for what is reckoned of one litter."""
        return math.floor(self.mean + 0.5)

    @property
    def words(self) -> str:
        """
        >>> LitterSize(3.07, 14).words
        'A litter has about 3.1 young: from 14 litters here, of the last 5 years.'
        >>> LitterSize(4.0, 0).words
        'A litter is taken to have 4 young: an assumption.'
        """
        values = {"young": figure(self.mean, 1, trimmed=True), "number": self.litters}
        if not self.litters:
            return tell("A litter is taken to have {young} young: an assumption.", **values)
        return tell(
            "A litter has about {young} young: from {number} litters here, of the last {years} "
            "years.",
            years=BACK_YEARS,
            **values,
        )


def usual_litter(today: datetime.date) -> LitterSize:
    """The mean of the program's own litters of the last five years, or what is assumed.

    Only young born alive count: what a buyer waits for, what needs a tank and what may show a
    trait is alive. Of the last years, because females, food and water were others before; with
    few litters a mean says little, and the assumption stands. A birth under way is not over, and
    does not count. Kept until a litter or an animal is written.
    """
    return kept_while_unchanged(("usual litter", today), lambda: _read(today))


def _read(today: datetime.date) -> LitterSize:
    litters = Litter.objects.filter(
        withdrawn_at__isnull=True,
        is_under_way=False,
        born_on__gt=today - BACK_YEARS * YEAR,
        born_on__lte=today,
    )
    number = litters.count()
    if number < LEAST_RECORDS:
        return LitterSize(Assumptions().young_per_litter, 0)
    alive = Pup.objects.filter(litter__in=litters, alive=True, animal__withdrawn_at__isnull=True)
    return LitterSize(max(1.0, alive.count() / number), number)
