"""A plot of each quantity of a course, with its limits and marks, and the same in words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from breeding.housing.course.marks import Mark
from breeding.housing.course.readings import QUANTITIES, Point, Readings, thinned
from breeding.housing.course.span import Span
from breeding.housing.figures import figure
from breeding.housing.water.fit import FORMULAS, Range, heading_words, temperature_words
from breeding.program.plots import DayMark, key_mark, over_days
from breeding.words.days import long_day, span_words
from breeding.words.language import message, tell, tell_many
from breeding.words.numbers import joined

SHAPE_OF = {"change": "dot", "care": "ring", "in": "up", "out": "down", "treatment": "square"}
TOLD_WHOLE = 40  # so many readings are read out one by one; of more what is least, most and last
LABELS = {"kh": message("Carbonate hardness (KH)"), "ammonia": message("Total ammonia")}


@dataclass(frozen=True)
class Plot:
    """One quantity: its name, its drawing, and what it says."""

    label: str
    svg: str
    words: str


def plots_of(
    readings: Readings,
    marks: Sequence[Mark],
    limits: Mapping[str, Range],
    span: Span,
    *,
    temperature_unit: str,
) -> list[Plot]:
    """A plot of each quantity that was read in the span; reads nothing."""
    found = []
    for what in QUANTITIES:
        points = readings.points[what]
        if not points:
            continue
        label = tell(LABELS[what]) if what in LABELS else heading_words(what)
        words = told(what, points, limits.get(what), temperature_unit)
        svg = over_days(
            [(at, shown(what, value, temperature_unit)) for at, value in thinned(points)],
            id=f"course-{what}",
            title=tell(
                "{quantity} from {days}", quantity=label, days=span_words(span.first, span.last)
            ),
            unit=unit_of(what, temperature_unit),
            first=span.first,
            last=span.last,
            told=" ".join([words, *marks_words(marks)]),
            limits=_ends(what, limits.get(what), temperature_unit),
            marks=[day_mark(one, span) for one in marks],
            from_zero=what in FORMULAS,
        )
        found.append(Plot(label, svg, words))
    return found


def day_mark(mark: Mark, span: Span) -> DayMark:
    """As it is drawn; what began before the span begins with it."""
    on = max(mark.on, span.first)
    until = None if mark.until is None else min(mark.until, span.last)
    return DayMark(on, SHAPE_OF[mark.kind], f"{long_day(mark.on)}: {mark.words}", until)


def key_of(marks: Sequence[Mark], names: Mapping[str, str]) -> list[tuple[str, str]]:
    """Each shape that is drawn, with what it stands for."""
    there = {mark.kind for mark in marks}
    return [
        (key_mark(SHAPE_OF[kind]), tell(words)) for kind, words in names.items() if kind in there
    ]


def marks_words(marks: Sequence[Mark]) -> list[str]:
    """Every mark as a sentence, oldest first."""
    found = []
    for mark in marks:
        day = long_day(mark.on)
        if mark.until and mark.until > mark.on:
            until = long_day(mark.until)
            found.append(
                tell("{day} until {until}: {what}.", day=day, until=until, what=mark.words)
            )
        else:
            found.append(f"{day}: {mark.words}.")
    return found


def unit_of(what: str, temperature_unit: str) -> str:
    """What stands at the axis."""
    if what in FORMULAS:
        return f"mg/L {FORMULAS[what]}"
    units = {"temperature": f"°{temperature_unit}", "ph": "pH", "kh": "°dH"}
    return units.get(what, "µS/cm")


def shown(what: str, value: float, temperature_unit: str) -> float:
    """The value in the unit of the axis."""
    if what == "temperature" and temperature_unit == "F":
        return value * 9 / 5 + 32
    return value


def said(what: str, value: float, temperature_unit: str) -> str:
    """A value with its unit, in a sentence."""
    if what == "temperature":
        return temperature_words(value, temperature_unit)
    unit = "" if what == "ph" else f" {unit_of(what, temperature_unit)}"
    return f"{figure(value, '.6g')}{unit}"


def told(what: str, points: Sequence[Point], limits: Range | None, temperature_unit: str) -> str:
    """The readings in words: each of a few, of many what is least, most and last."""
    words = _readings_told(what, points, temperature_unit)
    outside = [one for one in points if limits is not None and not limits.holds(one[1])]
    if limits is None:
        return words
    if not outside:
        return f"{words} {tell('None outside of what counts as fit.')}"
    how_many = tell(
        "{number} of {all} outside of what counts as fit.", number=len(outside), all=len(points)
    )
    return f"{words} {how_many}"


def _readings_told(what: str, points: Sequence[Point], temperature_unit: str) -> str:
    def on(point: Point) -> str:
        value = said(what, point[1], temperature_unit)
        return tell("{value} on {day}", value=value, day=long_day(point[0].date()))

    name = heading_words(what)
    if len(points) <= TOLD_WHOLE:
        return f"{name}: {joined([on(one) for one in points])}."
    least, most = (choose(points, key=lambda one: one[1]) for choose in (min, max))
    return tell_many(
        "{quantity}: {number} reading, the lowest {lowest}, the highest {highest}, the last "
        "{last}.",
        "{quantity}: {number} readings, the lowest {lowest}, the highest {highest}, the last "
        "{last}.",
        len(points),
        quantity=name,
        lowest=on(least),
        highest=on(most),
        last=on(points[-1]),
    )


def _ends(
    what: str, limits: Range | None, temperature_unit: str
) -> tuple[float | None, float | None]:
    if limits is None:
        return None, None
    least, most = (
        None if value is None else shown(what, value, temperature_unit)
        for value in (limits.least, limits.most)
    )
    return least, most
