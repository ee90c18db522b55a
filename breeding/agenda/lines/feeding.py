"""The lines of food beside those of who is off it: near a birth, and of whom nobody saw it eat."""

import datetime
from collections.abc import Iterator

from breeding.agenda.gathered import Gathered
from breeding.agenda.kinds.table import KINDS
from breeding.agenda.lines.line import Line, write_line
from breeding.animals.models import Animal
from breeding.feeding.appetite import AGAIN_OF_DAYS
from breeding.feeding.queries import Silent, leaving_again, silent
from breeding.pairings.season.reading import SeasonReading
from breeding.words.days import long_day, span_words
from breeding.words.language import tell, tell_many
from breeding.words.numbers import joined

NEAR_DAYS = 7  # so long before her window opens a refused meal is looked at so; an assumption
FRESH_DAYS = 2  # and so long after it was left


def near_birth_lines(gathered: Gathered) -> Iterator[Line]:
    """A female that left her food while a birth is expected: the last sign before it."""
    for reading in gathered.seasons:
        if not _is_near_birth(reading, gathered.today):
            continue
        left, window = reading.appetite.refusals[-1], reading.estimate.announced
        spans = span_words(window.p05, window.p95, long_day) if window else ""
        yield write_line(
            KINDS["refuses_near_birth"],
            mark=f"{reading.female.pk}:{left.mark}",
            series_mark=str(reading.female.pk),
            on=left.on,
            today=gathered.today,
            who=reading.female.name,
            why=tell(
                "She refused food on {day}; food is refused about a day before a birth "
                "(keepers' records), and her window is {spans}. Look at her often, with the "
                "nursery ready and males away.",
                day=long_day(left.on),
                spans=spans,
            ),
            animal=reading.female,
            facts={"female_id": reading.female.pk},
        )


def _is_near_birth(reading: SeasonReading, today: datetime.date) -> bool:
    est, left = reading.estimate, reading.appetite.refusals
    if est.announced is None or not left or (today - left[-1].on).days > FRESH_DAYS:
        return False
    is_expected = est.announced_chance >= reading.rules.worth_planning_chance
    return is_expected and (est.announced.p05 - today).days <= NEAR_DAYS


def silent_lines(gathered: Gathered) -> Iterator[Line]:
    """Who was not seen to eat for so long that it is an alarm, while others of its tank were fed.

    The mark holds its last meal and the day: an answer holds for the day.
    """
    found = silent(gathered.today)
    animals = Animal.objects.select_related("portrait").in_bulk([one.animal for one in found])
    for one in found:
        animal = animals.get(one.animal)
        if animal is None:
            continue
        yield write_line(
            KINDS["not_eaten"],
            mark=f"{animal.pk}:{one.since.isoformat()}:{one.days}",
            series_mark=str(animal.pk),
            on=gathered.today,
            today=gathered.today,
            who=animal.name,
            why=_silent_words(one),
            animal=animal,
            facts={
                "animal_id": animal.pk,
                "for_days": tell_many("for {number} day", "for {number} days", one.days),
            },
        )


def _silent_words(one: Silent) -> str:
    said = {"day": long_day(one.since), "tank": one.tank}
    if one.has_eaten:
        return tell_many(
            "Its last meal on record was on {day}; {tank} has been fed {number} time since. Watch "
            "it eat, or say that it refuses.",
            "Its last meal on record was on {day}; {tank} has been fed {number} times since. "
            "Watch it eat, or say that it refuses.",
            one.rounds,
            **said,
        )
    return tell_many(
        "No meal of it is on record since {day}; {tank} has been fed {number} time since. Watch "
        "it eat, or say that it refuses.",
        "No meal of it is on record since {day}; {tank} has been fed {number} times since. Watch "
        "it eat, or say that it refuses.",
        one.rounds,
        **said,
    )


def leaving_food_lines(gathered: Gathered) -> Iterator[Line]:
    """A young one that left food on several of the last days, though it ate between.

    The mark holds those days: an answer holds until it leaves food again.
    """
    found = leaving_again(gathered.today)
    animals = Animal.objects.select_related("portrait").in_bulk(list(found)) if found else {}
    for key, animal in sorted(animals.items()):
        days = found[key].left_lately
        yield write_line(
            KINDS["leaves_food"],
            mark=f"{key}:{days[-1].isoformat()}",
            series_mark=str(key),
            on=days[-1],
            today=gathered.today,
            who=animal.name,
            why=tell(
                "It left its food on {days}, within {number} days, though it ate in between. See "
                "whether it gets at its food, test the water and weigh it.",
                days=joined([long_day(day) for day in days]),
                number=AGAIN_OF_DAYS,
            ),
            animal=animal,
            facts={"animal_id": key},
        )
