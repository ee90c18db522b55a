"""What a plan comes to month by month: young to be expected, and the tanks they need; pure."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

Date = datetime.date
TO_MATING_DAYS = 14  # from putting two together to a mating; assumption


@dataclass(frozen=True)
class Expected:
    """One litter to come: when, how many, and until when the young are here."""

    born_on: Date
    young: float
    leaves_on: Date


@dataclass(frozen=True)
class Month:
    """By its first day: young born in it, young that are here in it, and litters with a tank."""

    first: Date
    born: float
    here: float
    tanks: int


def expected_litter(
    put_together_on: Date, *, gestation_days: float, young: float, leave_days: float
) -> Expected:
    """One litter, by mean figures.

    >>> expected_litter(Date(2026, 1, 1), gestation_days=100, young=5, leave_days=60)
    Expected(born_on=datetime.date(2026, 4, 25), young=5, leaves_on=datetime.date(2026, 6, 24))
    """
    born_on = put_together_on + datetime.timedelta(days=TO_MATING_DAYS + round(gestation_days))
    return Expected(born_on, young, born_on + datetime.timedelta(days=round(leave_days)))


def months_of(litters: Sequence[Expected]) -> list[Month]:
    """From the month of the first birth to that in which the last young leave.

    >>> one = Expected(Date(2026, 4, 25), 5.0, Date(2026, 6, 24))
    >>> [(month.first.month, month.born, month.here, month.tanks) for month in months_of([one])]
    [(4, 5.0, 5.0, 1), (5, 0, 5.0, 1), (6, 0, 5.0, 1)]
    """
    if not litters:
        return []
    month = min(one.born_on for one in litters).replace(day=1)
    last = max(one.leaves_on for one in litters)
    found = []
    while month <= last:
        after = (month + datetime.timedelta(days=32)).replace(day=1)
        here = [one for one in litters if one.born_on < after and one.leaves_on >= month]
        born = sum(one.young for one in here if one.born_on >= month)
        found.append(Month(month, born, sum(one.young for one in here), len(here)))
        month = after
    return found
