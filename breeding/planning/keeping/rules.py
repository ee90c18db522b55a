"""What a young one has to meet before it leaves, each met or when it will be; writes nothing."""

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from breeding.animals.growth.reading import GrowthReading
from breeding.animals.models import Measurement
from breeding.animals.species.profiles import Figures
from breeding.litters.queries import PupReading
from breeding.litters.verdicts.deciding import withheld_words
from breeding.program.models import Program
from breeding.words.days import day_with_distance, long_day, span_words
from breeding.words.language import message, tell, tell_many
from breeding.words.sizes import length, weight

Date = datetime.date
CONDITION = message("condition {least} or better ({condition} of 5)")
HEADINGS = {
    "age": message("age"),
    "width": message("width"),
    "condition": message("condition"),
    "weight": message("weight"),
    "unknown": message("unknown"),
    "lacks": message("lacks"),
    "else": message("else"),
}


@dataclass(frozen=True)
class Rule:
    """One rule: whether it is met (None: nobody knows), and in words how or when."""

    name: str
    is_met: bool | None
    words: str

    @property
    def heading(self) -> str:
        """What it asks for, as the page calls it; its name is its key."""
        return tell(HEADINGS[self.name])


def rules_of(
    pup: PupReading,
    growth: GrowthReading | None,
    figures: Figures,
    program: Program,
    *,
    asof: Date,
    unknown: Sequence[str] = (),
) -> list[Rule]:
    """Age, width, condition, weight, and whatever on record speaks against its leaving.

    unknown: what nobody knows of it, of what it has to meet.
    """
    return [
        _age(pup, figures, asof),
        _width(pup, growth, figures, program.length_unit),
        _condition(condition_of(pup), figures),
        _weight(pup, program.weight_unit),
        *(Rule("unknown", None, tell("not known: {what}", what=said)) for said in unknown),
        *_on_record(pup),
    ]


@dataclass(frozen=True)
class FirstDay:
    """From when a young one may leave as far as age and width go.

    old_enough_on: its birthday plus the least age. on: the later of that and the day on which it is
    as wide as it has to be, by its growth; None: that cannot be told yet.
    """

    old_enough_on: Date
    on: Date | None


def first_day_of(pup: PupReading, growth: GrowthReading | None, figures: Figures) -> FirstDay:
    """When this one may leave, whatever else stands against it."""
    least_days = round(figures.get("leave_least_days", 42))
    least_mm = round(figures.get("leave_least_mm", 130))
    old_enough_on = pup.pup.litter.born_on + datetime.timedelta(days=least_days)
    if pup.disc_width_mm is not None and pup.disc_width_mm >= least_mm:
        return FirstDay(old_enough_on, old_enough_on)
    found = growth.reaches(least_mm) if growth else None
    if found is None or found.middle is None:
        return FirstDay(old_enough_on, None)
    return FirstDay(old_enough_on, max(old_enough_on, found.middle))


def _age(pup: PupReading, figures: Figures, asof: Date) -> Rule:
    born = pup.pup.litter.born_on
    least, better = (
        round(figures.get(name, usual))
        for name, usual in (("leave_least_days", 42), ("leave_better_days", 56))
    )
    age = (asof - born).days
    when = born + datetime.timedelta(days=least)
    if age < least:
        words = tell_many(
            "{number} day; {least} on {day}",
            "{number} days; {least} on {day}",
            age,
            least=least,
            day=_day(when, asof),
        )
        return Rule("age", False, words)
    if age < better:
        when = born + datetime.timedelta(days=better)
        words = tell_many(
            "{number} day; better from {day}",
            "{number} days; better from {day}",
            age,
            day=_day(when, asof),
        )
        return Rule("age", True, words)
    return Rule("age", True, tell_many("{number} day", "{number} days", age))


def _day(on: Date, asof: Date) -> str:
    return day_with_distance(on, asof)


def _width(pup: PupReading, growth: GrowthReading | None, figures: Figures, unit: str) -> Rule:
    least, better = (
        round(figures.get(name, usual))
        for name, usual in (("leave_least_mm", 130), ("leave_better_mm", 150))
    )
    wide = pup.disc_width_mm
    if wide is None:
        return Rule(
            "width", None, tell("never measured; {size} is wanted", size=length(least, unit))
        )
    said = _on_day(length(wide, unit), pup.measured_on)
    if wide < least:
        return Rule("width", False, f"{said}; {_when(growth, least, unit)}")
    if wide < better:
        when = _when(growth, better, unit)
        return Rule("width", True, tell("{width}; better: {when}", width=said, when=when))
    return Rule("width", True, said)


def _on_day(said: str, on: Date | None) -> str:
    return tell("{figure} on {day}", figure=said, day=long_day(on)) if on else said


def _when(growth: GrowthReading | None, width_mm: int, unit: str) -> str:
    """When it is so wide, as a span."""
    wide = length(width_mm, unit)
    found = growth.reaches(width_mm) if growth else None
    if found is None or found.early is None or found.middle is None:
        return tell("when it has {width} cannot be told yet", width=wide)
    if found.late is None:
        return tell("{width} from {day} at the earliest", width=wide, day=long_day(found.early))
    return tell(
        "{width} about {day} ({span})",
        width=wide,
        day=long_day(found.middle),
        span=span_words(found.early, found.late),
    )


def _condition(row: Measurement | None, figures: Figures) -> Rule:
    least = round(figures.figure("leave_least_condition"))
    if row is None or row.condition is None:
        return Rule("condition", None, tell("not looked at"))
    seen = _on_day(tell("{condition} of 5", condition=row.condition), row.on)
    words = tell("{seen}; from {least} on", seen=seen, least=least)
    return Rule("condition", row.condition >= least, words)


def condition_of(pup: PupReading) -> Measurement | None:
    """The latest that says how it looks."""
    return next((row for row in reversed(pup.measured) if row.condition), None)


def _weight(pup: PupReading, unit: str) -> Rule:
    row = next((one for one in reversed(pup.measured) if one.weight_g), None)
    if row is None or row.weight_g is None:
        return Rule("weight", None, tell("not weighed"))
    return Rule("weight", None, _on_day(weight(row.weight_g, unit), row.on))


def _on_record(pup: PupReading) -> Iterator[Rule]:
    """Wounds, food, quarantine, water, holds: as the records say it; else that none does."""
    seen = tell(CONDITION).partition("{")[0]  # said above, by the latest that was looked at
    against = [
        one
        for one in pup.unwell
        if one not in withheld_words(pup.decided) and not one.startswith(seen)
    ]
    for said in against:
        yield Rule("lacks", False, said)
    if not against:
        yield Rule("else", True, tell("nothing on record speaks against it"))
