"""Wishes and papers in words, for pages."""

from django import template

from breeding.buyers.models import Wish
from breeding.program.models import Program
from breeding.words.wishes import wish_words

register = template.Library()


@register.filter
def in_words(wish: Wish, program: Program) -> str:
    """{{ wish|in_words:program }}: pure P. leopoldi, female, from 15.0 cm."""
    return wish_words(wish, program.length_unit)
