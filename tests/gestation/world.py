"""An invented world in which signs follow matings; the model's own assumptions play no part in it.

A female in company mates by chance on a day. Marks begin within two days of some matings and by
chance on other days, last for a while and are seen only on days somebody looks. How long she
carries does not come from the figures that the estimate starts from. All figures are invented.
"""

import datetime
from dataclasses import dataclass

import numpy as np

from breeding.gestation import Scan, Sign

START = datetime.date(2026, 1, 1)


@dataclass(frozen=True)
class World:
    """How it goes; chances are for a day in company."""

    mates: float = 1 / 60
    marks_after_mating: float = 0.60
    marks_by_chance: float = 0.03
    marks_last_days: tuple[int, int] = (1, 3)
    marks_after_days: tuple[int, int] = (0, 1)
    company_days: tuple[int, int] = (10, 60)
    looked_every_days: int = 1
    gestation_mean_days: float = 110.0
    gestation_sd_days: float = 10.0


@dataclass(frozen=True)
class Season:
    """What a keeper has on record of one season, and what was so."""

    company: list[datetime.date]
    looked: list[datetime.date]
    signs: list[Sign]
    mated_on: datetime.date | None
    born_on: datetime.date | None
    scans: tuple[Scan, ...] = ()

    @property
    def last(self) -> datetime.date:
        return self.company[-1]


def season(world: World, random: np.random.Generator) -> Season:
    """One female's season, drawn at random."""
    length = int(random.integers(world.company_days[0], world.company_days[1] + 1))
    mates = random.random(length) < world.mates
    first = int(mates.argmax()) if mates.any() else None
    begins = random.random(length) < world.marks_by_chance
    for on in np.flatnonzero(mates):
        begins[on] = False
        if random.random() < world.marks_after_mating:
            begins[min(on + _between(world.marks_after_days, random), length - 1)] = True
    marked = np.zeros(length, bool)
    for on in np.flatnonzero(begins):
        marked[on : on + _between(world.marks_last_days, random)] = True
    looked = np.arange(length) % world.looked_every_days == 0
    born = None
    if first is not None:
        carried = random.normal(world.gestation_mean_days, world.gestation_sd_days)
        born = _day(first + round(float(carried)))
    return Season(
        company=[_day(on) for on in range(length)],
        looked=[_day(int(on)) for on in np.flatnonzero(looked)],
        signs=[Sign(_day(int(on)), "fresh_bite_marks") for on in np.flatnonzero(marked & looked)],
        mated_on=None if first is None else _day(first),
        born_on=born,
    )


def _between(span: tuple[int, int], random: np.random.Generator) -> int:
    return int(random.integers(span[0], span[1] + 1))


def _day(number: int) -> datetime.date:
    return START + datetime.timedelta(days=number)
