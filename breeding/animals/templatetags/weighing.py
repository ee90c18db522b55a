"""Body condition on pages: the drawings, the tiles to tap, and what to look at."""

from typing import Any

from django import template
from django.forms import BoundField

from breeding.animals.weighing.conditions import conditions_said
from breeding.program.kinds import kind_words

register = template.Library()


@register.inclusion_tag("animals/weighing/_condition_drawings.html")
def condition_drawings() -> dict[str, Any]:
    """{% condition_drawings %}: once a page, before they are used."""
    return {"kinds": kind_words()}


@register.inclusion_tag("animals/weighing/_conditions.html")
def condition_tiles(field: BoundField, *, is_worded: bool = False) -> dict[str, Any]:
    """{% condition_tiles form.condition %}: with the words on each where there is room."""
    return {
        "conditions": conditions_said(),
        "kinds": kind_words(),
        "name": field.html_name,
        "chosen": field.value(),
        "is_worded": is_worded,
    }


@register.inclusion_tag("animals/weighing/_condition_looks.html")
def condition_looks() -> dict[str, Any]:
    """{% condition_looks %}: the scale, folded up."""
    return {"conditions": conditions_said(), "kinds": kind_words()}
