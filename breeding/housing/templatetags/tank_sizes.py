"""A tank's size and volume in the program's units, and days in few letters."""

import datetime
from collections.abc import Mapping

from django import template

from breeding.animals.models import Animal
from breeding.housing.models import Stay, Tank, WaterChange, WaterSource, WaterTest
from breeding.housing.sizes import size_words, volume_words
from breeding.housing.water.fit import Reading, name_words, temperature_words, value_words
from breeding.housing.water.queries import values_in_words
from breeding.housing.work.due_words import due_words
from breeding.housing.work.overview import figures_words
from breeding.housing.work.queries import change_words
from breeding.housing.work.rhythm import Due
from breeding.program.models import Program
from breeding.program.queries import the_program
from breeding.words import days
from breeding.words.language import tell

register = template.Library()


@register.filter
def tank_size(tank: Tank, program: Program) -> str:
    """{{ tank|tank_size:program }}: length, width and height."""
    return size_words(tank.length_mm, tank.width_mm, tank.height_mm, program.length_unit)


@register.filter
def tank_volume(tank: Tank, program: Program) -> str:
    return volume_words(tank.volume_litres, program.volume_unit)


@register.filter
def short_day(on: datetime.date, today: datetime.date) -> str:
    """{{ date|short_day:today }}: 3 Mar, with the year when it is not this one."""
    return days.short_day(on, today)


@register.filter
def test_values(test: WaterTest, program: Program) -> str:
    """{{ test|test_values:program }}: what was read, as typed, in one line."""
    return ", ".join(f"{name} {value}" for name, value, _ in values_in_words(test, program))


@register.filter
def part_of_volume(tank: Tank, percent: str) -> str:
    """{{ tank|part_of_volume:"30" }}: so much of a tank, in the program's unit."""
    return volume_words((tank.volume_litres or 0) * int(percent) / 100, the_program().volume_unit)


@register.filter
def change_line(change: WaterChange, program: Program) -> str:
    """{{ change|change_line:program }}: how much, with which water."""
    return change_words(change, program)


@register.filter
def source_figures(source: WaterSource, program: Program) -> str:
    return figures_words(source, program.temperature_unit)


@register.filter
def due_line(due: Due) -> str:
    return due_words(due)


@register.filter
def readings_line(readings: Mapping[str, Reading], program: Program) -> str:
    """{{ newest|readings_line:program }}: the newest reading of each quantity, in one line."""
    unit = program.temperature_unit
    said = {what: value_words(one) for what, one in readings.items()}
    if "temperature" in said:
        said["temperature"] = temperature_words(readings["temperature"].value, unit)
    return ", ".join(f"{name_words(what)} {words}" for what, words in said.items())


@register.filter
def from_to(since: datetime.date, until: datetime.date | None) -> str:
    """{{ loan.since|from_to:loan.until }}: from a day to a day, or until now."""
    if until is None:
        return tell("{since} to now", since=days.plain_day(since))
    return tell("{since} to {until}", since=days.plain_day(since), until=days.plain_day(until))


@register.filter
def stay_days(stay: Stay) -> str:
    """{{ stay|stay_days }}: from when to when, and what ended it where nobody moved it out."""
    if stay.until is not None or stay.ended_on is None:
        return from_to(stay.since, stay.until)
    return tell(
        "{since} to {until}, when it {state}",
        since=days.plain_day(stay.since),
        until=days.plain_day(stay.ended_on),
        state=stay.animal.get_state_display(),
    )


@register.filter
def sex_since(stay: Stay, today: datetime.date) -> str:
    """{{ stay|sex_since:today }}: female, since Tue 3 Mar 2026 (12 days ago)."""
    return _sex_since(stay, days.day_with_distance(stay.since, today))


@register.filter
def sex_since_short(stay: Stay, today: datetime.date) -> str:
    """{{ stay|sex_since_short:today }}: female, since 3 Mar."""
    return _sex_since(stay, days.short_day(stay.since, today))


def _sex_since(stay: Stay, since: str) -> str:
    if stay.animal.sex == Animal.Sex.UNKNOWN:
        return tell("unknown sex, since {day}", day=since)
    return tell("{sex}, since {day}", sex=stay.animal.get_sex_display(), day=since)
