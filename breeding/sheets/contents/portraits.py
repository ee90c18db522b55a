"""The portraits of a sheet: which picture, from when, and whether it may look different by now."""

import datetime
from collections.abc import Iterable, Mapping

from breeding.animals.models import Animal, Photograph
from breeding.animals.species.profiles import Figures
from breeding.words.days import short_day, stretch
from breeding.words.language import tell

# Used where the species' figures say nothing else. Assumptions: spots change with growth, and a
# young ray grows fast.
FRESH_DAYS = 365
FRESH_DAYS_OF_THE_YOUNG = 60
YOUNG_DAYS = 365
FEW_DAYS = 60  # an age below that is said in days


def portraits_of(animals: Iterable[Animal]) -> Mapping[int, Photograph | None]:
    """The portrait of each animal by its key; one query."""
    shown = list(animals)
    found = Photograph.objects.in_bulk([one.portrait_id for one in shown if one.portrait_id])
    return {one.pk: found.get(one.portrait_id) for one in shown}


def caption(photograph: Photograph, animal: Animal, figures: Figures, on: datetime.date) -> str:
    """ "photograph, 12 Sep 2026"; with its age when it is old enough to look different."""
    taken = photograph.taken_on
    if taken is None:
        if photograph.is_drawing:
            return tell("drawing, date not recorded")
        return tell("photograph, date not recorded")
    day = short_day(taken)
    picture = (
        tell("drawing, {day}", day=day)
        if photograph.is_drawing
        else tell("photograph, {day}", day=day)
    )
    if (on - taken).days <= _fresh_days(animal, figures, taken):
        return picture
    age = stretch(taken, on, few_days=FEW_DAYS)
    return tell("{picture}, {age} old: may look different now", picture=picture, age=age)


def _fresh_days(animal: Animal, figures: Figures, taken: datetime.date) -> float:
    is_young = animal.born_on is not None and (taken - animal.born_on).days < YOUNG_DAYS
    if is_young:
        return figures.get("young_portrait_fresh_days", FRESH_DAYS_OF_THE_YOUNG)
    return figures.get("portrait_fresh_days", FRESH_DAYS)
