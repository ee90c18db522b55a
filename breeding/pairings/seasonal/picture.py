"""Temperature and conductivity of a strip as drawings, and the same in words; reads nothing."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext_lazy as _

from breeding.housing.course.marks import Mark
from breeding.housing.course.picture import day_mark, key_of, marks_words, said, shown, unit_of
from breeding.housing.course.readings import thinned
from breeding.pairings.seasonal.waters import NAMES, Strip
from breeding.program.plots import over_days
from breeding.words.days import long_day, span_words
from breeding.words.language import message_many, tell, tell_many
from breeding.words.numbers import some

QUANTITIES = {
    "temperature": (_("temperature"), _("Temperature")),
    "conductivity": (_("conductivity"), _("Conductivity")),
}
TANKS_NAMED = 4
WHEN = {
    "all": message_many("{span} in {number} reading", "{span} in {number} readings"),
    "before": message_many(
        "{span} in {number} reading until that day",
        "{span} in {number} readings until that day",
    ),
    "after": message_many(
        "{span} in {number} reading after it",
        "{span} in {number} readings after it",
    ),
}


@dataclass(frozen=True)
class Drawn:
    """A strip as a page shows it."""

    strip: Strip
    heading: str
    where: str
    svgs: list[str]
    words: list[str]


def drawn(strip: Strip, *, id: str, temperature_unit: str) -> Drawn:
    """Both quantities over the days of a strip, with its marks under them."""
    span, about = strip.window.span, strip.window.about
    marks = [day_mark(mark, span) for mark in strip.marks]
    words = [_told(strip, what, temperature_unit) for what in QUANTITIES]
    svgs = []
    for what, told in zip(QUANTITIES, words, strict=True):
        points = thinned(strip.readings.points[what])
        if points:
            svgs.append(
                over_days(
                    [(at, shown(what, value, temperature_unit)) for at, value in points],
                    id=f"{id}-{what}",
                    title=tell(
                        "{quantity} from {span}",
                        quantity=QUANTITIES[what][1],
                        span=span_words(span.first, span.last),
                    ),
                    unit=f"{QUANTITIES[what][0]}, {unit_of(what, temperature_unit)}",
                    first=span.first,
                    last=span.last,
                    told=" ".join([told, *marks_words(strip.marks)]),
                    marks=marks,
                    height=110,
                )
            )
    name = strip.window.female.name
    heading = (
        tell("{female}, mating seen on {day}", female=name, day=long_day(about)) if about else name
    )
    where = (
        tell("In {tanks}.", tanks=some(strip.tanks, TANKS_NAMED))
        if strip.tanks
        else tell("In no tank on record.")
    )
    return Drawn(strip, heading, where, svgs, words + marks_words(strip.marks))


def key_for(strips: Sequence[Strip]) -> list[tuple[str, str]]:
    """The signs that are drawn anywhere, each with its words."""
    marks: list[Mark] = [mark for strip in strips for mark in strip.marks]
    return key_of(marks, NAMES)


def _told(strip: Strip, what: str, temperature_unit: str) -> str:
    """From where to where it went, before and after the mating where it is about one."""
    points, quantity = strip.readings.points[what], QUANTITIES[what][1]
    if not points:
        return tell("{quantity}: no reading in these days.", quantity=quantity)
    about = strip.window.about
    parts = [(WHEN["all"], points)]
    if about is not None:
        parts = [
            (WHEN["before"], [one for one in points if one[0].date() <= about]),
            (WHEN["after"], [one for one in points if one[0].date() > about]),
        ]
    found = []
    for (one, many), some_points in parts:
        if some_points:
            values = [value for _at, value in some_points]
            ends = [said(what, value, temperature_unit) for value in (min(values), max(values))]
            span = ends[0]
            if ends[0] != ends[1]:
                span = tell("{least} to {most}", least=ends[0], most=ends[1])
            found.append(tell_many(one, many, len(values), span=span))
    return tell("{quantity}: {readings}.", quantity=quantity, readings="; ".join(found))
