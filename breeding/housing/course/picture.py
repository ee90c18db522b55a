"""A plot of each quantity of a course, with its limits and marks, and the same in words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from breeding.housing.course.marks import Mark
from breeding.housing.course.readings import QUANTITIES, Point, Readings, thinned
from breeding.housing.course.span import Span
from breeding.housing.water.fit import FORMULAS, NAMES, Range, temperature_words
from breeding.program.plots import DayMark, key_mark, over_days
from breeding.words.days import long_day, span_words
from breeding.words.numbers import counted, joined

SHAPE_OF = {"change": "dot", "care": "ring", "in": "up", "out": "down", "treatment": "square"}
TOLD_WHOLE = 40  # so many readings are read out one by one; of more what is least, most and last
LABELS = {"ph": "pH", "kh": "Carbonate hardness (KH)", "ammonia": "Total ammonia"}


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
        label = LABELS.get(what, what.capitalize())
        words = told(what, points, limits.get(what), temperature_unit)
        svg = over_days(
            [(at, shown(what, value, temperature_unit)) for at, value in thinned(points)],
            id=f"course-{what}",
            title=f"{label} from {span_words(span.first, span.last)}",
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
    return [(key_mark(SHAPE_OF[kind]), words) for kind, words in names.items() if kind in there]


def marks_words(marks: Sequence[Mark]) -> list[str]:
    """Every mark as a sentence, oldest first."""
    found = []
    for mark in marks:
        until = f" until {long_day(mark.until)}" if mark.until and mark.until > mark.on else ""
        found.append(f"{long_day(mark.on)}{until}: {mark.words}.")
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
    return f"{value:.6g}{unit}"


def told(what: str, points: Sequence[Point], limits: Range | None, temperature_unit: str) -> str:
    """The readings in words: each of a few, of many what is least, most and last."""
    name = NAMES.get(what, what)
    name = name if what in NAMES else name.capitalize()

    def on(point: Point) -> str:
        return f"{said(what, point[1], temperature_unit)} on {long_day(point[0].date())}"

    if len(points) <= TOLD_WHOLE:
        words = f"{name}: {joined([on(one) for one in points])}."
    else:
        least, most = (choose(points, key=lambda one: one[1]) for choose in (min, max))
        words = (
            f"{name}: {counted(len(points), 'reading')}, the lowest {on(least)}, the highest "
            f"{on(most)}, the last {on(points[-1])}."
        )
    outside = [one for one in points if limits is not None and not limits.holds(one[1])]
    if limits is None:
        return words
    if not outside:
        return f"{words} None outside of what counts as fit."
    return f"{words} {len(outside)} of {len(points)} outside of what counts as fit."


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
