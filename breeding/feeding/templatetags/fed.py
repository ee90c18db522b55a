"""What was given in a round, in few words."""

from django import template

from breeding.feeding.models import Feeding
from breeding.feeding.rounds import feeding_words
from breeding.program.models import Program

register = template.Library()


@register.filter
def what_was_fed(feeding: Feeding, program: Program) -> str:
    """{{ feeding|what_was_fed:program }}: 60 g mussel."""
    return feeding_words(feeding, program.weight_unit)
