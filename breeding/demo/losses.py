"""The demonstration's losses: how some died.

All of it is invented. One that comes to the Landing Stage is in quarantine by that alone.
"""

import datetime
from collections.abc import Callable, Iterator

from breeding.demo.acts import House
from breeding.health.dying.services import ToldDeath, tell_death
from breeding.health.models import Death

Date = datetime.date
PUP, MALE, OLD = "sixth 4", "Zaniah", "Vega"


def diary(house: House) -> Iterator[tuple[int, Callable[[Date], object]]]:
    """Each act by how many days ago it was; a death is told the day after."""
    yield 1890, lambda on: _tell(house, PUP, on, _OF_PUP)
    yield 879, lambda on: _tell(house, OLD, on, _OF_OLD)
    yield 239, lambda on: _tell(house, MALE, on, _OF_MALE)


_OF_PUP = ToldDeath(
    cause=Death.Cause.FOOD,
    circumstances="Never took food by itself; the others of the litter ate from the third day.",
    found_where="under the pump, in the morning",
    findings="Yolk used up, gut empty. No wound, nothing on the skin.",
    examined_by="Sam",
)
_OF_OLD = ToldDeath(
    cause=Death.Cause.AGE,
    circumstances="Ate less for a month, lay in one corner for the last days.",
    found_where="in her own corner",
)
_OF_MALE = ToldDeath(
    cause=Death.Cause.ILLNESS,
    is_by_laboratory=True,
    circumstances="Off food for a week, breathed fast on the last evening.",
    found_where="on the floor, alive, and died within the hour",
    findings="Liver pale and swollen; the laboratory found bacteria in it.",
    examined_by="Dr. Marlow Reed",
)


def _tell(house: House, name: str, on: Date, told: ToldDeath) -> None:
    tell_death(house.rays[name], told, today=on, by=house.people["sam"])
