"""Under an empty list or page: what to do next, as a room above knows it."""

from django import template
from django.template.context import Context
from django.utils.safestring import SafeString, mark_safe

from breeding.program.panels import panels_for

register = template.Library()


@register.simple_tag(takes_context=True)
def what_next(context: Context, at: str = "program:empty") -> SafeString:
    """{% what_next %}: the next step of a program that has only begun; nothing later."""
    return mark_safe("".join(panels_for(at, context["request"])))  # noqa: S308 - drawn by templates
