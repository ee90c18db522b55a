"""How long a female rests after a birth: the keeper's word for her, else the program's days."""

import datetime
from collections.abc import Iterable, Mapping

from breeding.animals.models import Animal
from breeding.pairings.models import Outcome, Rest
from breeding.pairings.outcomes import births_of_all
from breeding.program.models import Program
from breeding.program.problems.several import read_of
from breeding.words.days import long_day
from breeding.words.language import tell


def rests(
    females: Iterable[Animal], program: Program, *, asof: datetime.date
) -> dict[int, datetime.date]:
    """The day from which each may be paired again, by female; at most two queries for all.

    Only females that have given birth by `asof` and are to rest after it are in it, also when the
    day has passed: compare it with the day in question. No rest is the default.
    """
    births = last_births(births_of_all({female.pk for female in females}), asof)
    return rest_days(births, own_rests(births.values()), program)


def last_births(births: Iterable[Outcome], asof: datetime.date) -> dict[int, Outcome]:
    """Of these, oldest first, the last one of each female by a day."""
    return {birth.female_id: birth for birth in births if birth.on <= asof}


def own_rests(births: Iterable[Outcome]) -> dict[int, datetime.date]:
    """Until when she is to rest by the keeper's word, by birth: one query for many."""
    rests = Rest.objects.filter(withdrawn_at__isnull=True).order_by("pk")
    return {one.outcome_id: one.until for one in read_of(rests, "outcome", (b.pk for b in births))}


def rest_days(
    births: Mapping[int, Outcome], own: Mapping[int, datetime.date], program: Program
) -> dict[int, datetime.date]:
    """The day until which each rests after this birth of hers, by female."""
    days = datetime.timedelta(days=program.rest_days)
    until = {pk: own.get(birth.pk, birth.on + days) for pk, birth in births.items()}
    return {pk: day for pk, day in until.items() if day > births[pk].on}


def rest_until(female: Animal, program: Program, *, asof: datetime.date) -> datetime.date | None:
    """The day from which she may be paired again after her last birth; None: she need not rest."""
    return rests([female], program, asof=asof).get(female.pk)


def rest_caution(female: Animal, program: Program, *, on: datetime.date) -> str:
    """What to say when she is paired on this day; nothing when she need not rest any more."""
    until = rest_until(female, program, asof=on)
    if until is None or on >= until:
        return ""
    return tell(
        "{female} is meant to rest until {day} after her last birth. The choice is yours.",
        female=female.name,
        day=long_day(until),
    )
