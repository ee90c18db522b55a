"""Template filters for dates and units; loaded for every template."""

import datetime
from fractions import Fraction
from typing import Any

from django import template
from django.utils import timezone

from breeding.program.models import Program
from breeding.words import chances, clock, days, food, months, numbers, sizes
from breeding.words.language import tell

register = template.Library()


@register.filter
def day(on: datetime.date | None, today: datetime.date | None = None) -> str:
    """{{ date|day }} or, with the distance, {{ date|day:today }}."""
    if not on:
        return tell("unknown")
    return days.day_with_distance(on, today) if today else days.plain_day(on)


@register.filter
def heading_day(on: datetime.date) -> str:
    """{{ date|heading_day }}: Tuesday 3 March."""
    return days.heading_day(on)


@register.filter
def heading_day_of_year(on: datetime.date) -> str:
    """{{ date|heading_day_of_year }}: Tuesday 3 March 2026."""
    return days.heading_day(on, with_year=True)


@register.filter
def short_weekday(on: datetime.date) -> str:
    """{{ date|short_weekday }}: Tue."""
    return months.short_weekday(on)


@register.filter
def day_and_month(on: datetime.date) -> str:
    """{{ date|day_and_month }}: 3 Mar."""
    return days.short_day(on, on)


@register.filter
def moment(at: datetime.datetime | None, today: datetime.date | None = None) -> str:
    """{{ time|moment }}; with {{ time|moment:today }} the year is left out while it is this one."""
    return days.moment_words(timezone.localtime(at), today) if at else tell("unknown")


@register.filter
def clock_time(at: datetime.datetime | datetime.time) -> str:
    """{{ time|clock_time }}: 14:02, where the program is."""
    return clock.clock_time(at if isinstance(at, datetime.time) else timezone.localtime(at))


@register.simple_tag
def clock_hours() -> str:
    """{% clock_hours %}: 24 or 12, as whoever reads has it, for scripts that say a time."""
    return clock.hours_of_clock()


@register.filter
def span(points: Any, today: datetime.date) -> str:
    """{{ points|span:today }}: 5 to 95 % points as two short dates."""
    return tell("unknown") if points is None else days.short_span(points.p05, points.p95, today)


@register.filter
def born(animal: Any) -> str:
    return days.born_words(animal.born_on, animal.born_precision)


@register.filter
def age(animal: Any, today: datetime.date) -> str:
    """{{ animal|age:today }}: 27 days old, or how long one lived that died; "" if nobody knows."""
    has_died = animal.state == "died"
    if has_died and animal.state_on is None:
        return ""
    died_on = animal.state_on if has_died else None
    return days.age_words(animal.born_on, today, died_on)


@register.filter
def as_length(millimetres: float | None, program: Program) -> str:
    return sizes.length(millimetres, program.length_unit)


@register.filter
def as_weight(grams: float | None, program: Program) -> str:
    return sizes.weight(grams, program.weight_unit)


@register.filter
def food_amount(grams: Any, program: Program) -> str:
    return food.food_amount(None if grams is None else float(grams), program.weight_unit)


@register.filter
def plain_number(number: Any) -> str:
    """As a form sends it: with a point, and no noughts behind it; nothing stays empty."""
    return "" if number in (None, "") else f"{float(number):.2f}".rstrip("0").rstrip(".")


@register.filter
def figure(value: float | Fraction, decimals: int = 0) -> str:
    """{{ 38.25|figure:1 }}: 38.2, with the decimal mark of the reader's language."""
    return numbers.figure(value, decimals)


@register.filter
def percent(share: float | Fraction | None) -> str:
    return tell("unknown") if share is None else numbers.percent(share)


@register.filter
def points(share: float) -> str:
    """{{ 0.044|points }}: 4.4, of a difference between two shares in per cent."""
    return numbers.points(share)


@register.filter
def chance(share: float | None) -> str:
    return tell("unknown") if share is None else chances.chance(share)


@register.filter
def joined(parts: Any) -> str:
    return numbers.joined([str(part) for part in parts])
