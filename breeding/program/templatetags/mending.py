"""The ways to the pages that put a record right; loaded for every template."""

from django import template
from django.utils.text import capfirst

from breeding.program.acts.mending import address_of, change_address_of, kind_of
from breeding.program.models import Recorded

register = template.Library()


@register.filter
def withdraw_address(record: Recorded) -> str:
    """{{ sighting|withdraw_address }}: /withdraw/sighting/12/, which also brings it back."""
    return address_of(record)


@register.filter
def change_address(record: Recorded) -> str:
    """{{ sighting|change_address }}: /change/sighting/12/; empty when nothing changes it."""
    return change_address_of(record)


@register.filter
def called(record: Recorded) -> str:
    """{{ sighting|called }}: "The sighting “Mating” of Mira on Sun 22 Nov 2026, 12:00"."""
    kind = kind_of(record)
    return str(capfirst(kind.called(record) if kind is not None else str(record)))
