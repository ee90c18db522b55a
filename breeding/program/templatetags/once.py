"""The hidden fields of a form that writes; loaded for every template."""

from typing import Any

from django import template
from django.db import models
from django.forms import BaseForm
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from breeding.program.acts import changing
from breeding.program.acts import once as tokens
from breeding.program.templatetags.wrong import questions_in

register = template.Library()


@register.simple_tag(takes_context=True)
def once(context: dict[str, Any], record: models.Model | None = None) -> SafeString:
    """{% once %} beside {% csrf_token %}: written once, however often it is sent.

    With the record that the form changes, {% once animal %}: what somebody else changes meanwhile
    is said before anything is overwritten.
    """
    request = context.get("request")
    person = getattr(request, "user", None)
    if person is None or not person.is_authenticated:
        return SafeString("")
    # A kept form that is shown again keeps its token: its photographs are kept under it.
    token = getattr(request, "token", None) or tokens.new_token(person)
    said = format_html('<input type="hidden" name="{}" value="{}">', tokens.FIELD, token)
    if request is not None and isinstance(record, models.Model) and record.pk:
        said += format_html(
            '<input type="hidden" name="{}" value="{}">',
            changing.FIELD,
            changing.version_to_show(request, record),
        )
    form = context.get("form")
    is_drawn = getattr(request, "doubts_are_drawn", False)
    if isinstance(form, BaseForm) and form.is_bound and not is_drawn:
        said += mark_safe("".join(questions_in(form)))  # noqa: S308 - drawn by a template of ours
        request.doubts_are_drawn = True  # type: ignore[union-attr]
    return SafeString(said)


@register.simple_tag(takes_context=True)
def once_of_its_own(context: dict[str, Any]) -> SafeString:
    """{% once_of_its_own %}: the token of a button that stands beside the form of the page."""
    return format_html(
        '<input type="hidden" name="{}" value="{}">',
        tokens.FIELD,
        tokens.new_token(context["request"].user),
    )
