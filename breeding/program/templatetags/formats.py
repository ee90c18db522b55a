"""Template filters for dates and units; loaded for every template."""

import datetime
from fractions import Fraction
from typing import Any

from django import template
from django.utils import timezone

from breeding.program.models import Program
from breeding.words import chances, days, food, numbers, sizes

register = template.Library()


@register.filter
def day(on: datetime.date | None, today: datetime.date | None = None) -> str:
    """{{ date|day }} or, with the distance, {{ date|day:today }}."""
    if not on:
        return "unknown"
    return days.day_with_distance(on, today) if today else days.plain_day(on)


@register.filter
def moment(at: datetime.datetime | None, today: datetime.date | None = None) -> str:
    """{{ time|moment }}; with {{ time|moment:today }} the year is left out while it is this one."""
    if not at:
        return "unknown"
    local = timezone.localtime(at)
    on = local.date()
    return f"{days.near_day(on, today) if today else days.plain_day(on)}, {local:%H:%M}"


@register.filter
def clock_time(at: datetime.datetime) -> str:
    """{{ time|clock_time }}: 14:02, where the program is."""
    return f"{timezone.localtime(at):%H:%M}"


@register.filter
def span(points: Any, today: datetime.date) -> str:
    """{{ points|span:today }}: 5 to 95 % points as two short dates."""
    if points is None:
        return "unknown"
    return f"{days.short_day(points.p05, today)} to {days.short_day(points.p95, today)}"


@register.filter
def born(animal: Any) -> str:
    return days.born_words(animal.born_on, animal.born_precision)


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
def percent(share: float | Fraction | None) -> str:
    return "unknown" if share is None else numbers.percent(share)


@register.filter
def chance(share: float | None) -> str:
    return "unknown" if share is None else chances.chance(share)


@register.filter
def joined(parts: Any) -> str:
    return numbers.joined([str(part) for part in parts])


@register.filter
def counted(number: int, noun: str) -> str:
    """{{ 3|counted:"pup" }}: 3 pups; {{ 2|counted:"it is,they are" }} where there is no s."""
    one, _, several = noun.partition(",")
    return numbers.counted(number, one, several)


@register.filter
def which(number: int, noun: str) -> str:
    """{{ 2|which:"it,they" }}: the word alone that goes with so many."""
    one, _, several = noun.partition(",")
    return numbers.one_or_more(number, one, several)


@register.filter
def amount(value: float, noun: str) -> str:
    """{{ 1.5|amount:"generation" }}: 1.5 generations."""
    return numbers.amount(float(value), noun)
