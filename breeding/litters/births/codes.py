"""The codes of litters: the year and a number within it."""

import datetime

from breeding.animals.models import Animal
from breeding.litters.models import Litter


class LitterCodes:
    """The next ones, as 26-03: what is taken of a year is read when the first of it is asked."""

    def __init__(self) -> None:
        self._last: dict[str, int] = {}

    def next(self, born_on: datetime.date) -> str:
        """Never the same twice."""
        year = f"{born_on:%y}-"
        if year not in self._last:
            self._last[year] = _last_taken(year)
        self._last[year] += 1
        return f"{year}{self._last[year]:02d}"


def _last_taken(year: str) -> int:
    counting = Litter.objects.filter(withdrawn_at__isnull=True)
    taken = [
        code[3:].partition("-")[0]  # an animal's code begins with that of its litter
        for rows in (counting, Animal.objects)
        for code in rows.filter(code__startswith=year).values_list("code", flat=True)
    ]
    numbers = [int(number) for number in taken if number.isdecimal() and len(number) < 4]
    return max(numbers, default=0)
