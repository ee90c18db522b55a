"""The small portrait beside a name."""

from functools import lru_cache

from django import template
from django.templatetags.static import static
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString

register = template.Library()


@register.simple_tag
def face(portrait_id: int | None, sex: str = "") -> SafeString:
    """{% face animal.portrait_id animal.sex %}: in the frame of its sex, if that is given."""
    return _face(portrait_id or 0, sex)


@lru_cache(maxsize=2_000)
def _face(portrait_id: int, sex: str) -> SafeString:
    """By a portrait's key; 0: the drawing of one that has none."""
    frame = f" {sex.lower()}" if sex else ""
    if not portrait_id:
        address = static("no-portrait.svg")
        return format_html(
            '<img class="face{}" src="{}" alt="" width="60" height="60">', frame, address
        )
    return format_html(
        '<img class="face{}" src="{}" alt="" width="60" height="60" loading="lazy">',
        frame,
        reverse("animals:face", args=[portrait_id]),
    )
