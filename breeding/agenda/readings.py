"""Gathers the day from the rooms below; writes nothing."""

import datetime
from dataclasses import dataclass

from breeding.agenda.lines import Line, in_order, lede, litter_lines, season_lines
from breeding.agenda.models import Answer
from breeding.animals.models import Animal
from breeding.buyers.models import Reservation
from breeding.litters.models import Litter
from breeding.litters.readings import pups_of
from breeding.pairings.readings import HERE
from breeding.pairings.seasons import SeasonReading, seasons
from breeding.program.formats import plain_day
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
    readings = [one for one in seasons(program, asof=today) if one.is_live]
    lines = [line for reading in readings for line in season_lines(reading, today)]
    since = today - datetime.timedelta(days=LITTERS_DAYS)
    litters = list(
        Litter.objects.filter(withdrawn_at__isnull=True, born_on__gte=since).select_related(
            "dam", "dam__portrait"
        )
    )
    pups = pups_of(litters, asof=today)
    lines += litter_lines([(litter, pups.get(litter.pk, [])) for litter in litters], today)
    lines += _reservation_lines(today)
    answers = _answers([line.key for line in lines])
    standing, answered = [], []
    for line in in_order(lines):
        answer = answers.get(line.key)
        if answer is None or (answer.put_off_until and answer.put_off_until <= today):
            standing.append(line)
        else:
            answered.append((line, answer))
    count = Animal.objects.filter(state__in=HERE).count()
    return Day(standing, answered, lede(standing, count, readings), readings, count > 0)


def _answers(keys: list[str]) -> dict[str, Answer]:
    """The latest answer to each line."""
    latest: dict[str, Answer] = {}
    for answer in Answer.objects.filter(key__in=keys).order_by("recorded_at", "pk"):
        latest[answer.key] = answer
    return latest


def _reservation_lines(today: datetime.date) -> list[Line]:
    """Reservations that run out within a week, or have."""
    from breeding.agenda.lines import Act

    limit = today + datetime.timedelta(days=7)
    found = Reservation.objects.filter(
        withdrawn_at__isnull=True, until__lte=limit, animal__state__in=HERE
    ).select_related("animal", "animal__portrait", "contact")
    return [
        Line(
            key=f"reservation:{one.pk}:{one.until}",
            on=one.until,
            urgency="now" if one.until < today else "soon",
            who=one.animal.name,
            what=f"kept for {one.contact.name}",
            why=f"Kept until {plain_day(one.until)}. Ask whether it still stands.",
            animal=one.animal,
            address_of="animals:detail",
            acts=(Act("Open the buyer", "buyers:detail", one.contact_id),),
        )
        for one in found
        if one.until is not None
    ]
