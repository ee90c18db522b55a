"""From when on an animal is free and fit to be paired, where that can be told; reads nothing."""

import datetime
from typing import TYPE_CHECKING

from breeding.animals.models import Animal
from breeding.planning.season.fitness import fitness, grown_on
from breeding.planning.season.told.carrying import carries, due_by

if TYPE_CHECKING:
    from breeding.planning.season.readiness import Candidate

Date = datetime.date
SEASON_DAYS = 180  # who is free and fit within it is part of the plan; assumption


def after_birth(one: "Candidate", rest_days: int) -> Date | None:
    """The day on which she has rested after the birth she is expected to have; None: none is."""
    by = due_by(one.season) if one.season and carries(one.season) else None
    return None if by is None else by + datetime.timedelta(days=rest_days)


def free_from(one: "Candidate", *, today: Date, rest_days: int, unit: str) -> Date | None:
    """None where nobody knows: it is lent, with a mate, ill, thin, or too small for now."""
    season = one.season
    birth = after_birth(one, rest_days)
    not_free = len(one.hindrances) - len(one.fitness.unfit)
    is_pregnant_alone = bool(birth and season and not season.with_now and one.animal.is_here)
    if not_free and not (is_pregnant_alone and one.animal.sex == Animal.Sex.FEMALE):
        return None
    least = max(today, birth or today)
    days = [least, one.body.rests_until, *(hold.until for hold in one.body.holds)]
    if one.body.born_on is not None:
        days.append(grown_on(one.body.born_on, one.body, one.figures))
    for day in sorted({day for day in days if day is not None and day >= least}):
        if not fitness(one.body, one.figures, today=day, unit=unit).unfit:
            return day
    return None


def is_of_the_season(one: "Candidate", today: Date) -> bool:
    """Whether it is free and fit now, or will be within the season; not one with a litter under
    way, which is hers of this season."""
    if one.carries:
        return False
    day = one.free_on
    return one.is_ready or (day is not None and (day - today).days <= SEASON_DAYS)
