"""Dates as a parentage sheet writes them."""

import datetime

from django import template

from breeding.program import formats

register = template.Library()


@register.filter
def long_day(on: datetime.date) -> str:
    """{{ date|long_day }}: 3 March 2026."""
    return formats.long_day(on)
