"""What a young one has to meet before it leaves, each met or when it will be; writes nothing."""

import datetime
from collections.abc import Iterator
from dataclasses import dataclass

from breeding.animals.growth.reading import GrowthReading
from breeding.animals.models import Measurement
from breeding.animals.species.profiles import Figures
from breeding.litters.queries import PupReading
from breeding.program.models import Program
from breeding.words.days import day_with_distance, long_day, span_words
from breeding.words.numbers import counted
from breeding.words.sizes import length, weight

Date = datetime.date


@dataclass(frozen=True)
class Rule:
    """One rule: whether it is met (None: nobody knows), and in words how or when."""

    name: str
    is_met: bool | None
    words: str


def rules_of(
    pup: PupReading,
    growth: GrowthReading | None,
    figures: Figures,
    program: Program,
    *,
    asof: Date,
) -> list[Rule]:
    """Age, width, condition, weight, and whatever on record speaks against its leaving."""
    return [
        _age(pup, figures, asof),
        _width(pup, growth, figures, program.length_unit),
        _condition(condition_of(pup), figures),
        _weight(pup, program.weight_unit),
        *_on_record(pup),
    ]


def _age(pup: PupReading, figures: Figures, asof: Date) -> Rule:
    born = pup.pup.litter.born_on
    least, better = (
        round(figures.get(name, usual))
        for name, usual in (("leave_least_days", 42), ("leave_better_days", 56))
    )
    age = (asof - born).days
    when = born + datetime.timedelta(days=least)
    if age < least:
        return Rule("age", False, f"{counted(age, 'day')}; {least} on {_day(when, asof)}")
    if age < better:
        when = born + datetime.timedelta(days=better)
        return Rule("age", True, f"{counted(age, 'day')}; better from {_day(when, asof)}")
    return Rule("age", True, counted(age, "day"))


def _day(on: Date, asof: Date) -> str:
    return day_with_distance(on, asof)


def _width(pup: PupReading, growth: GrowthReading | None, figures: Figures, unit: str) -> Rule:
    least, better = (
        round(figures.get(name, usual))
        for name, usual in (("leave_least_mm", 130), ("leave_better_mm", 150))
    )
    wide = pup.disc_width_mm
    if wide is None:
        return Rule("width", None, f"never measured; {length(least, unit)} is wanted")
    said = length(wide, unit)
    if pup.measured_on:
        said += f" on {long_day(pup.measured_on)}"
    if wide < least:
        return Rule("width", False, f"{said}; {_when(growth, least, unit)}")
    if wide < better:
        return Rule("width", True, f"{said}; better: {_when(growth, better, unit)}")
    return Rule("width", True, said)


def _when(growth: GrowthReading | None, width_mm: int, unit: str) -> str:
    """When it is so wide, as a span."""
    wide = length(width_mm, unit)
    found = growth.reaches(width_mm) if growth else None
    if found is None or found.early is None or found.middle is None:
        return f"when it has {wide} cannot be told yet"
    if found.late is None:
        return f"{wide} from {long_day(found.early)} at the earliest"
    return f"{wide} about {long_day(found.middle)} ({span_words(found.early, found.late)})"


def _condition(row: Measurement | None, figures: Figures) -> Rule:
    least = round(figures.figure("leave_least_condition"))
    if row is None or row.condition is None:
        return Rule("condition", None, "not looked at")
    on = f" on {long_day(row.on)}" if row.on else ""
    return Rule("condition", row.condition >= least, f"{row.condition} of 5{on}; from {least} on")


def condition_of(pup: PupReading) -> Measurement | None:
    """The latest that says how it looks."""
    return next((row for row in reversed(pup.measured) if row.condition), None)


def _weight(pup: PupReading, unit: str) -> Rule:
    row = next((one for one in reversed(pup.measured) if one.weight_g), None)
    if row is None or row.weight_g is None:
        return Rule("weight", None, "not weighed")
    on = f" on {long_day(row.on)}" if row.on else ""
    return Rule("weight", None, f"{weight(row.weight_g, unit)}{on}")


def _on_record(pup: PupReading) -> Iterator[Rule]:
    """Wounds, food, quarantine, water, holds: as the records say it; else that none does."""
    against = [one for one in pup.unwell if not one.startswith(("condition ", "leave to go"))]
    for said in against:
        yield Rule("lacks", False, said)
    if not against:
        yield Rule("else", True, "nothing on record speaks against it")
