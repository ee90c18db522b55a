"""A year on one sheet: every season that touches it, closed or going on, by female."""

import datetime
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from breeding.animals.models import Animal
from breeding.pairings.models import Outcome
from breeding.pairings.outcomes import every_outcome
from breeding.pairings.season.facts import Ask
from breeding.pairings.season.past.lessons import gather_with_lessons
from breeding.pairings.season.reading import SeasonReading, reckoned, seasons
from breeding.pairings.season.renewed import MATTERS
from breeding.program.models import Program
from breeding.program.unchanged.each import kept_of_each
from breeding.program.unchanged.marks import rests_on


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
    asks = [Ask(females[one.female_id], one.on, one) for one in outcomes]
    every = [YearSeason(one, outcome) for one, outcome in _closed(program, asks)]
    if first <= today:
        every += [YearSeason(one, None) for one in seasons(program, asof=today) if one.is_live]
    found = [one for one in every if one.reading.since and one.reading.since <= last]
    return sorted(
        found,
        key=lambda one: (one.reading.female.name, one.reading.since or last, one.reading.asof),
    )


def _closed(program: Program, asks: Sequence[Ask]) -> list[tuple[SeasonReading, Outcome]]:
    """Of each season that is asked for, with the outcome that closed it; they are kept."""
    by_outcome = {ask.until.pk: ask for ask in asks if ask.until is not None}

    def make(keys: Collection[int]) -> dict[int, SeasonReading]:
        rests_on(Program)
        wanted = [by_outcome[key] for key in keys]
        facts, closed = gather_with_lessons(wanted)
        return dict(zip(keys, reckoned(program, facts, wanted, closed), strict=True))

    found = kept_of_each("closed seasons", by_outcome, make, MATTERS)
    return [(found[ask.until.pk], ask.until) for ask in asks if ask.until is not None]


def years_on_record(*, today: datetime.date) -> list[int]:
    """Every year with an outcome, and this one; the latest first."""
    years = {outcome.on.year for outcome in every_outcome()}
    return sorted({one for one in years if one <= today.year} | {today.year}, reverse=True)
