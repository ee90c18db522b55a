"""Amounts that need not be whole, in a sentence with its plural; names that two share."""

import datetime
import math
from collections.abc import Collection, Mapping
from fractions import Fraction

from django import template

from breeding.animals.models import Animal
from breeding.words.days import month_and_year
from breeding.words.numbers import figure

register = template.Library()


@register.filter
def tenths(value: float) -> str:
    """{{ 2.375|tenths }}: 2.4, and 1.0 is 1: no noughts that say nothing."""
    return figure(_in_tenths(value) / 10, 1, trimmed=True)


@register.filter
def one_or_two(value: float) -> int:
    """{{ 1.04|one_or_two }}: 1, what a sentence counts where the amount is shown as 1; else 2."""
    return 1 if _in_tenths(value) == 10 else 2


@register.filter
def month_year(on: datetime.date) -> str:
    """{{ month.first|month_year }}: April 2026."""
    return month_and_year(on)


@register.filter
def told_apart(animal: Animal, shared: Collection[str]) -> str:
    """{{ animal|told_apart:plan.namesakes }}: with its code, where another has the same name."""
    return animal.full_name if animal.name in shared else animal.name


@register.filter
def said_of(animal: Animal, words: Mapping[int, str]) -> str:
    """{{ animal|said_of:in_season }}: what is said of it, where anything is."""
    return words.get(animal.pk, "")


def _in_tenths(value: float) -> int:
    return math.floor(Fraction(value) * 10 + Fraction(1, 2))
