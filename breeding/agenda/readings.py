"""Gathers the day from the rooms below; writes nothing."""

import datetime
from dataclasses import dataclass, replace

from breeding.agenda.buyer_lines import reservation_lines, wish_lines
from breeding.agenda.lines import (
    FAR_DAYS,
    Line,
    disagreement_lines,
    in_order,
    lede,
    litter_lines,
    planned_lines,
    season_lines,
    window_lines,
)
from breeding.agenda.models import Answer
from breeding.animals.models import Animal
from breeding.buyers.models import STANDING, Reservation
from breeding.buyers.waiting import openings
from breeding.litters.models import Litter
from breeding.litters.queries import pups_of
from breeding.pairings.queries import HERE
from breeding.pairings.season.disagreements import disagreements
from breeding.pairings.season.reading import SeasonReading, seasons
from breeding.planning.queries import waiting
from breeding.program.models import Program

LITTERS_DAYS = 400


@dataclass(frozen=True)
class Day:
    """The front page: lines that stand, lines answered today or still put off, and the season."""

    lines: list[Line]
    answered: list[tuple[Line, Answer]]
    lede: str
    seasons: list[SeasonReading]
    has_animals: bool


def the_day(program: Program, *, today: datetime.date) -> Day:
    """Everything the day asks for; the number of queries does not grow with the animals."""
    readings = _live(program, today)
    lines = [line for reading in readings for line in season_lines(reading, today)]
    lines += _litter_and_wish_lines(program, today)
    lines += reservation_lines(_reservations(today + datetime.timedelta(days=7)), today)
    lines += planned_lines(waiting(), today)
    lines += disagreement_lines(disagreements(program, asof=today))
    answers = _answers([line.key for line in lines])
    standing, answered = [], []
    for line in in_order(lines):
        answer = answers.get(line.key)
        if answer is None:
            standing.append(line)
        elif answer.put_off_until and answer.put_off_until <= today:
            standing.append(replace(line, asked_again_on=answer.put_off_until))
        else:
            answered.append((line, answer))
    count = Animal.objects.filter(state__in=HERE).count()
    return Day(standing, answered, lede(standing, count, readings), readings, count > 0)


def all_ahead(program: Program, *, today: datetime.date) -> list[Line]:
    """What the day asks for now and whatever is known to come, with the due windows as spans.

    A line that is done is left out; one that is put off stands on the day it was put off to.
    Records that disagree are work for the desk and fall on no day: they are not among these.
    """
    lines = []
    for reading in _live(program, today):
        lines += season_lines(reading, today, ahead_days=FAR_DAYS)
        lines += window_lines(reading)
    lines += _litter_and_wish_lines(program, today)
    lines += reservation_lines(_reservations(None), today)
    lines += planned_lines(waiting(), today, ahead_days=FAR_DAYS)
    answers = _answers([line.key for line in lines])
    ahead = []
    for line in in_order(lines):
        answer = answers.get(line.key)
        if answer is None:
            ahead.append(line)
        elif answer.put_off_until:
            put_off = answer.put_off_until
            ahead.append(replace(line, on=put_off, asked_again_on=put_off, moves_daily=False))
    return ahead


def _live(program: Program, today: datetime.date) -> list[SeasonReading]:
    return [one for one in seasons(program, asof=today) if one.is_live]


def _litter_and_wish_lines(program: Program, today: datetime.date) -> list[Line]:
    """Both ask of the same pups."""
    since = today - datetime.timedelta(days=LITTERS_DAYS)
    litters = list(
        Litter.objects.filter(withdrawn_at__isnull=True, born_on__gte=since).select_related(
            "dam", "dam__portrait"
        )
    )
    pups = pups_of(litters, asof=today)
    waited_for = openings(
        program, asof=today, among=[one for rows in pups.values() for one in rows]
    )
    return [
        *litter_lines([(litter, pups.get(litter.pk, [])) for litter in litters], today),
        *wish_lines(waited_for, program.length_unit, today),
    ]


def _reservations(limit: datetime.date | None) -> list[Reservation]:
    """Reservations of animals that are here and that run out by a day (None: whenever)."""
    found = Reservation.objects.filter(
        STANDING, until__isnull=False, animal__state__in=HERE
    ).select_related("animal", "animal__portrait", "contact")
    return list(found if limit is None else found.filter(until__lte=limit))


def _answers(keys: list[str]) -> dict[str, Answer]:
    """The latest answer to each line."""
    latest: dict[str, Answer] = {}
    answers = Answer.objects.filter(key__in=keys).select_related("recorded_by")
    for answer in answers.order_by("recorded_at", "pk"):
        latest[answer.key] = answer
    return latest
