"""Temperature and conductivity of a strip as drawings, and the same in words; reads nothing."""

from collections.abc import Sequence
from dataclasses import dataclass

from breeding.housing.course.marks import Mark
from breeding.housing.course.picture import day_mark, key_of, marks_words, said, shown, unit_of
from breeding.housing.course.readings import thinned
from breeding.pairings.seasonal.waters import NAMES, Strip
from breeding.program.plots import over_days
from breeding.words.days import long_day, span_words
from breeding.words.numbers import counted, some

QUANTITIES = ("temperature", "conductivity")
TANKS_NAMED = 4


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
                    title=f"{what.capitalize()} from {span_words(span.first, span.last)}",
                    unit=f"{what}, {unit_of(what, temperature_unit)}",
                    first=span.first,
                    last=span.last,
                    told=" ".join([told, *marks_words(strip.marks)]),
                    marks=marks,
                    height=110,
                )
            )
    name = strip.window.female.name
    heading = f"{name}, mating seen on {long_day(about)}" if about else name
    where = f"In {some(strip.tanks, TANKS_NAMED)}." if strip.tanks else "In no tank on record."
    return Drawn(strip, heading, where, svgs, words + marks_words(strip.marks))


def key_for(strips: Sequence[Strip]) -> list[tuple[str, str]]:
    """The signs that are drawn anywhere, each with its words."""
    marks: list[Mark] = [mark for strip in strips for mark in strip.marks]
    return key_of(marks, NAMES)


def _told(strip: Strip, what: str, temperature_unit: str) -> str:
    """From where to where it went, before and after the mating where it is about one."""
    points = strip.readings.points[what]
    if not points:
        return f"{what.capitalize()}: no reading in these days."
    about = strip.window.about
    parts = [("", points)]
    if about is not None:
        parts = [
            (" until that day", [one for one in points if one[0].date() <= about]),
            (" after it", [one for one in points if one[0].date() > about]),
        ]
    found = []
    for when, some_points in parts:
        if some_points:
            values = [value for _, value in some_points]
            ends = [said(what, value, temperature_unit) for value in (min(values), max(values))]
            span = ends[0] if ends[0] == ends[1] else f"{ends[0]} to {ends[1]}"
            found.append(f"{span} in {counted(len(values), 'reading')}{when}")
    return f"{what.capitalize()}: {'; '.join(found)}."
