"""The way to the page that withdraws a record; loaded for every template."""

from django import template

from breeding.program.models import Recorded
from breeding.program.withdrawing import address_of

register = template.Library()


@register.filter
def withdraw_address(record: Recorded) -> str:
    """{{ sighting|withdraw_address }}: /withdraw/sighting/12/."""
    return address_of(record)
