"""A year on one sheet: every season that touches it, closed or going on, by female."""

import datetime
from dataclasses import dataclass

from breeding.animals.models import Animal
from breeding.pairings.models import Outcome
from breeding.pairings.outcomes import every_outcome
from breeding.pairings.season.facts import Ask, females_here
from breeding.pairings.season.lessons import gather_with_lessons
from breeding.pairings.season.reading import SeasonReading, reckoned
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
    outcomes = [
        outcome
        for outcome in every_outcome()
        if first <= outcome.on <= last + datetime.timedelta(days=365) and outcome.on <= today
    ]
    females = Animal.objects.in_bulk({outcome.female_id for outcome in outcomes})
    ended = [Ask(females[one.female_id], one.on, one) for one in outcomes]
    going_on = [Ask(female, today) for female in females_here()] if first <= today else []
    asks = [*ended, *going_on]
    facts, closed = gather_with_lessons(asks)
    readings = reckoned(program, facts, asks, closed)
    found = [
        YearSeason(one, ask.until)
        for one, ask in zip(readings, asks, strict=True)
        if one.since is not None and one.since <= last and (ask.until or one.is_live)
    ]
    return sorted(
        found,
        key=lambda one: (one.reading.female.name, one.reading.since or last, one.reading.asof),
    )


def years_on_record(*, today: datetime.date) -> list[int]:
    """Every year with an outcome, and this one; the latest first."""
    years = {outcome.on.year for outcome in every_outcome()}
    return sorted({one for one in years if one <= today.year} | {today.year}, reverse=True)
