"""Dates and small numbers as a parentage sheet writes them."""

import datetime

from django import template

from breeding.buyers.ancestry_words import spelled as words_of
from breeding.program import formats

register = template.Library()


@register.filter
def long_day(on: datetime.date) -> str:
    """{{ date|long_day }}: 3 March 2026."""
    return formats.long_day(on)


@register.filter
def spelled(number: int) -> str:
    """{{ count|spelled }}: three."""
    return words_of(number)
