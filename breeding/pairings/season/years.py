"""A year on one sheet: every season that touches it, closed or going on, by female."""

import datetime
from dataclasses import dataclass

from breeding.animals.models import Animal
from breeding.pairings.models import Outcome
from breeding.pairings.season.closed import all_outcomes
from breeding.pairings.season.reading import Ask, SeasonReading, reckoned, seasons
from breeding.program.models import Program


@dataclass(frozen=True)
class YearSeason:
    """One season of the year, and the outcome that closed it."""

    reading: SeasonReading
    closed_by: Outcome | None


def span_of(year: int) -> tuple[datetime.date, datetime.date]:
    return datetime.date(year, 1, 1), datetime.date(year, 12, 31)


def seasons_of_year(program: Program, year: int, *, today: datetime.date) -> list[YearSeason]:
    """By name, then by day; the number of queries does not grow with them.

    A closed season is shown as it was reckoned on the day before it ended, with all that is on
    record of it now.
    """
    first, last = span_of(year)
    closed = [
        outcome
        for outcomes in all_outcomes().values()
        for outcome in outcomes
        if first <= outcome.on <= last + datetime.timedelta(days=365) and outcome.on <= today
    ]
    females = Animal.objects.in_bulk({outcome.female_id for outcome in closed})
    asks = [Ask(females[one.female_id], one.on, one) for one in closed]
    found = [
        YearSeason(reading, outcome)
        for reading, outcome in zip(reckoned(program, asks), closed, strict=True)
        if reading.since is not None and reading.since <= last
    ]
    if first <= today:
        found += [
            YearSeason(one, None)
            for one in seasons(program, asof=today)
            if one.is_live and one.since is not None and one.since <= last
        ]
    return sorted(
        found,
        key=lambda one: (one.reading.female.name, one.reading.since or last, one.reading.asof),
    )


def years_on_record(*, today: datetime.date) -> list[int]:
    """Every year with an outcome, and this one; the latest first."""
    years = {outcome.on.year for outcomes in all_outcomes().values() for outcome in outcomes}
    return sorted({one for one in years if one <= today.year} | {today.year}, reverse=True)
