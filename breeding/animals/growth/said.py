"""Growth as an animal's page shows it: a drawing, and the same in sentences."""

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from django.utils.safestring import SafeString, mark_safe

from breeding.animals import lineage
from breeding.animals.growth.reading import YEAR, GrowthReading, Reaching, growth_of
from breeding.animals.models import Animal
from breeding.animals.species.profiles import all_profiles
from breeding.program.kinds import kind_words
from breeding.program.models import Program
from breeding.program.plots import Series, over_years
from breeding.words.days import long_day, span_words
from breeding.words.language import message, tell, tell_many
from breeding.words.sizes import MM_PER_UNIT, length

MONTHS = 12
STEPS = 24
LEAVING = {
    "leave_least_mm": message("From this width on young may leave."),
    "leave_better_mm": message("From this width on it is better for young to leave."),
}
# Narrower than this share of such animals would be measured: it lags. Chosen on simulated years: at
# 0.025 every second such alarm was false, and what is beside littermates is told sooner otherwise.
BEHIND = 0.01


@dataclass(frozen=True)
class GrowthSaid:
    """What the page says; `picture` is empty where there is nothing to draw but points."""

    picture: SafeString
    sentences: Sequence[str]
    lags: bool


def growth_said(animal: Animal, program: Program, *, today: datetime.date) -> GrowthSaid | None:
    """For an animal's page, up to the widths at which it may leave; None: nothing is known."""
    reading = growth_of(animal)
    if reading is None:
        return None
    figures = all_profiles().of(lineage.current().shares.get(animal.pk, {}))
    known = [name for name in LEAVING if name in figures.values]
    widths = {round(figures.values[name]): LEAVING[name] for name in reversed(known)}
    return said_of(reading, widths=widths, unit=program.length_unit, today=today)


def said_of(
    reading: GrowthReading, *, widths: Mapping[int, str], unit: str, today: datetime.date
) -> GrowthSaid:
    """For widths in mm, each with the sentence that says what it is for, in the program's unit."""
    ahead = [(one, widths[width]) for width in sorted(widths) if (one := reading.reaches(width))]
    return GrowthSaid(
        mark_safe(_picture(reading, [*widths], unit, today)),  # noqa: S308  (numbers only)
        [*_sentences(reading, ahead, unit)],
        lags(reading),
    )


def lags(reading: GrowthReading) -> bool:
    """Whether it was measured clearly below its own curve."""
    return reading.behind is not None and reading.behind < BEHIND


def _sentences(
    reading: GrowthReading, ahead: Sequence[tuple[Reaching, str]], unit: str
) -> Iterator[str]:
    for one, what_for in ahead:
        yield f"{_reaching_words(one, unit)} {tell(what_for)}"
    if lags(reading):
        yield lag_words(reading, unit)
    yield _ground(reading)


def lag_words(reading: GrowthReading, unit: str) -> str:
    """What is said of one that lags."""
    on, width = reading.points[-1]
    return tell(
        "{size} on {day} is less than its own growth led to expect: measure again, and "
        "look at food, company and water.",
        size=length(width, unit),
        day=long_day(on),
    )


def _reaching_words(one: Reaching, unit: str) -> str:
    wide = length(one.width_mm, unit)
    if one.early is None or one.middle is None:
        return tell("It is too early to say when it will be {wide} wide.", wide=wide)
    if one.late is None:
        return tell(
            "{wide} wide on {day} at the earliest; how late is not known.",
            wide=wide,
            day=long_day(one.early),
        )
    return tell(
        "{wide} wide some day from {span} (nine of ten such spans prove right); the middle is "
        "{day}.",
        wide=wide,
        span=span_words(one.early, one.late),
        day=long_day(one.middle),
    )


def _ground(reading: GrowthReading) -> str:
    own = len(reading.points)
    if reading.growth is None:
        return tell_many(
            "{number} width measured: from two, two weeks apart, a straight line is drawn; from "
            "four a curve.",
            "{number} widths measured: from two, two weeks apart, a straight line is drawn; from "
            "four a curve.",
            own,
        )
    if reading.is_line:
        return tell_many(
            "A straight line through {number} width; from four on it is a curve of growth.",
            "A straight line through {number} widths; from four on it is a curve of growth.",
            own,
        )
    if not reading.others:
        return tell_many(
            "A curve of growth from {number} width of its own.",
            "A curve of growth from {number} widths of its own.",
            own,
        )
    widths = tell_many("{number} width of its own", "{number} widths of its own", own)
    return tell_many(
        "A curve of growth from {widths}, leaning on {number} animal of this program.",
        "A curve of growth from {widths}, leaning on {number} animals of this program.",
        reading.others,
        widths=widths,
    )


def _picture(
    reading: GrowthReading, widths_mm: Sequence[int], unit: str, today: datetime.date
) -> str:
    born = reading.animal.born_on
    if born is None:
        return ""
    scale = MM_PER_UNIT[unit]
    dots = [((on - born).days / YEAR * MONTHS, width / scale) for on, width in reading.points]
    last = max((today - born).days / YEAR, dots[-1][0] / MONTHS)
    last = min(last * 1.25 + 0.1, dots[-1][0] / MONTHS + 1.0)
    series, heading = [], kind_words().size_heading
    if reading.growth is not None:
        ages = np.linspace(dots[0][0] / MONTHS if reading.is_line else 0.0, last, STEPS)
        band = reading.growth.band(ages)
        rows = list(
            zip(
                ages * MONTHS, band.low / scale, band.middle / scale, band.high / scale, strict=True
            )
        )
        series.append(
            Series(
                heading,
                [(x, middle) for x, _, middle, _ in rows],
                band=[(x, low, high) for x, low, _, high in rows],
                has_marks=False,
                told=tell("The curve with the band in which nine of ten such animals are."),
            )
        )
    for width in sorted(set(widths_mm)):
        if dots[-1][1] * scale < width and series:
            level = width / scale
            series.append(
                Series(
                    tell("Size to leave"),
                    [(0.0, level), (last * MONTHS, level)],
                    style="line-b",
                    has_marks=False,
                    told=tell("A line at {size}.", size=length(width, unit)),
                )
            )
    if not series:
        return ""
    told = "; ".join(
        tell("{size} on {day}", size=length(width, unit), day=long_day(on))
        for on, width in reading.points
    )
    measured = tell("Measured: {sizes}.", sizes=told)
    series.append(Series(tell("Measured"), dots, has_line=False, told=measured))
    return over_years(
        series,
        id=f"growth-{reading.animal.pk}",
        title=tell("{size} in {unit} by age in months", size=heading, unit=unit),
        unit=tell("{unit}, by months of age", unit=unit),
        as_percent=False,
        from_zero=False,
    )
