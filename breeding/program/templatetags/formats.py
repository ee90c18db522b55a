"""Template filters for dates and units; loaded for every template."""

import datetime
from fractions import Fraction
from typing import Any

from django import template
from django.utils import timezone

from breeding.program import formats
from breeding.program.models import Program

register = template.Library()


@register.filter
def day(on: datetime.date | None, today: datetime.date | None = None) -> str:
    """{{ date|day }} or, with the distance, {{ date|day:today }}."""
    if not on:
        return "unknown"
    return formats.day_with_distance(on, today) if today else formats.plain_day(on)


@register.filter
def moment(at: datetime.datetime | None, today: datetime.date | None = None) -> str:
    """{{ time|moment }}; with {{ time|moment:today }} the year is left out while it is this one."""
    if not at:
        return "unknown"
    local = timezone.localtime(at)
    on = local.date()
    return f"{formats.near_day(on, today) if today else formats.plain_day(on)}, {local:%H:%M}"


@register.filter
def span(points: Any, today: datetime.date) -> str:
    """{{ points|span:today }}: 5 to 95 % points as two short dates."""
    if points is None:
        return "unknown"
    return f"{formats.short_day(points.p05, today)} to {formats.short_day(points.p95, today)}"


@register.filter
def born(animal: Any) -> str:
    return formats.born_words(animal.born_on, animal.born_precision)


@register.filter
def as_length(millimetres: float | None, program: Program) -> str:
    return formats.length(millimetres, program.length_unit)


@register.filter
def as_weight(grams: float | None, program: Program) -> str:
    return formats.weight(grams, program.weight_unit)


@register.filter
def percent(share: float | Fraction | None) -> str:
    return "unknown" if share is None else formats.percent(share)


@register.filter
def chance(share: float | None) -> str:
    return "unknown" if share is None else formats.chance(share)


@register.filter
def joined(parts: Any) -> str:
    return formats.joined([str(part) for part in parts])
