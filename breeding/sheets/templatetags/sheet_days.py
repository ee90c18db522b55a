"""Dates and small numbers as a parentage sheet writes them."""

import datetime

from django import template

from breeding.words import days, numbers

register = template.Library()


@register.filter
def long_day(on: datetime.date) -> str:
    """{{ date|long_day }}: 3 March 2026."""
    return days.long_day(on)


@register.filter
def spelled(number: int) -> str:
    """{{ count|spelled }}: three."""
    return numbers.spelled(number)
