"""A tank's size and volume in the program's units, and days in few letters."""

import datetime

from django import template

from breeding.housing.models import Tank, WaterTest
from breeding.housing.sizes import size_words, volume_words
from breeding.housing.water.queries import values_in_words
from breeding.program.models import Program
from breeding.words import days

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
