"""How the demonstration's animals grow, and what each looks like: always the same for one name."""

import datetime
import math
from dataclasses import replace
from random import Random

from breeding.demo.drawn.portraits import Looks, draw, founder_looks, inherit

PORTRAIT_PX = 320
YOUNG_DAYS = 300

# Growth invented for the demonstration: nobody's measurements, and nothing to grade a pup by.
_FULL_WIDTH_MM = {"F": 560, "M": 420, "U": 480}
_PACE_PER_YEAR = {"F": 0.68, "M": 0.84, "U": 0.76}
_DRAWN_AS = {"F": "female", "M": "male", "U": "unknown"}


def width_at_birth_mm(name: str) -> int:
    """Disc width of a newborn, 94 to 112 mm."""
    return _chance(name, "newborn").randint(94, 112)


def width_mm(name: str, sex: str, age_days: int, *, slow: bool = False) -> int:
    """Disc width of one born here at an age; a slow one gains less than half."""
    born = width_at_birth_mm(name)
    vigour = _chance(name, "vigour").uniform(0.88, 1.14) * (0.42 if slow else 1.0)
    pace = _PACE_PER_YEAR[sex] * vigour
    full = _FULL_WIDTH_MM[sex] * _chance(name, "full").uniform(0.93, 1.07)
    return round(full - (full - born) * math.exp(-pace * age_days / 365))


def grown_width_mm(name: str, sex: str, at_arrival_mm: int, days_here: int) -> int:
    """Disc width of one that came from elsewhere, so many days after it came."""
    full = max(_FULL_WIDTH_MM[sex], at_arrival_mm) * _chance(name, "full").uniform(0.95, 1.05)
    full = max(full, at_arrival_mm)
    return round(full - (full - at_arrival_mm) * math.exp(-0.5 * days_here / 365))


def weight_g(name: str, disc_width_mm: int) -> int:
    """A weight to go with a width, about the cube of it; invented like the widths."""
    around = _chance(name, f"weight {disc_width_mm}").uniform(0.94, 1.07)
    return max(1, round(0.058 * math.pow(disc_width_mm / 10, 2.95) * around))


def condition(name: str, age_days: int, *, slow: bool = False) -> int:
    """Body condition, 1 thin to 5 over-fed: mostly 3, a slow one 2."""
    if slow:
        return 2
    return _chance(name, f"condition {age_days}").choices((2, 3, 4), (1, 7, 2))[0]


def marking(name: str, words: list[str]) -> str:
    """What a keeper tells it by: one or two of these."""
    return "; ".join(_chance(name, "marking").sample(words, _chance(name, "many").randint(1, 2)))


def is_drawn_young(born_on: datetime.date | None, on: datetime.date) -> bool:
    """Whether its spots are still fewer and larger on that day, in these drawings."""
    return born_on is not None and (on - born_on).days < YOUNG_DAYS


def days_since_portrait(name: str) -> int:
    """When its portrait was made: within the last year."""
    return _chance(name, "portrait").randint(12, 330)


class Family:
    """The looks of every animal so far, each pup's drawn from its parents'."""

    def __init__(self) -> None:
        self._looks: dict[str, Looks] = {}

    def add_founder(self, name: str, kind: str, *, pale: bool = False) -> None:
        self._looks[name] = founder_looks(kind, name, pale=pale)

    def add_pup(self, name: str, sire: str, dam: str) -> None:
        self._looks[name] = inherit(self._looks[sire], self._looks[dam], name)

    def is_pale(self, name: str) -> bool:
        return self._looks[name].is_pale

    def young_portrait(self, name: str, sex: str) -> bytes:
        """The same animal in its first year, in these drawings with fewer and larger spots."""
        looks = self._looks[name]
        young = replace(
            looks, spot_count=looks.spot_count * 0.6, spot_size=looks.spot_size * 1.25, edge_row=0
        )
        return draw(young, sex=_DRAWN_AS[sex], side_px=PORTRAIT_PX)

    def portrait(self, name: str, sex: str) -> bytes:
        """A drawing as a JPEG, marked as one."""
        return draw(self._looks[name], sex=_DRAWN_AS[sex], side_px=PORTRAIT_PX)


def _chance(name: str, what: str) -> Random:
    return Random(f"{what} of {name}")  # noqa: S311 - a demonstration, not a secret
