"""A list to choose from, written as Django's templates write it, without a template an option."""

from collections.abc import Mapping
from typing import Any

from django.utils.html import conditional_escape
from django.utils.safestring import SafeString, mark_safe

SELECT = "django/forms/widgets/select.html"
OPTION = "django/forms/widgets/select_option.html"


def is_plain(widget: Mapping[str, Any]) -> bool:
    """Whether all its options are drawn as Django draws them."""
    return all(
        option["template_name"] == OPTION
        for _, options, _ in widget["optgroups"]
        for option in options
    )


def select_of(widget: Mapping[str, Any]) -> SafeString:
    """The same text as of the template, for lists of a thousand people and more."""
    parts = [f'<select name="{conditional_escape(widget["name"])}"{_attributes(widget["attrs"])}>']
    for group, options, _ in widget["optgroups"]:
        if group:
            parts.append(f'\n  <optgroup label="{conditional_escape(group)}">')
        parts += [_option(option) for option in options]
        if group:
            parts.append("\n  </optgroup>")
    return mark_safe("".join([*parts, "\n</select>\n"]))  # noqa: S308  (each part is escaped)


def _option(option: Mapping[str, Any]) -> str:
    value = conditional_escape(str(option["value"]))
    label = conditional_escape(option["label"])
    return f'\n  <option value="{value}"{_attributes(option["attrs"])}>{label}</option>\n'


def _attributes(attrs: Mapping[str, Any]) -> str:
    return "".join(
        f" {conditional_escape(name)}"
        + ("" if value is True else f'="{conditional_escape(str(value))}"')
        for name, value in attrs.items()
        if value is not False
    )
