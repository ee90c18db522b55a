"""Names of fields and records that nobody wrote down: Django makes them of the names in the code.

They head columns and stand beside fields, so they are messages too, in the catalog of their room.
"""

from collections.abc import Iterator
from typing import Any

from django.apps import apps
from django.db.models import Field, Model
from django.utils.text import camel_case_to_spaces
from django.utils.translation import gettext_lazy

OURS = "breeding."


def names_of(room: str) -> Iterator[str]:
    """The names that the records of a room and their fields have from the code alone."""
    for model in _models():
        if model.__module__.startswith(f"{OURS}{room}."):
            yield from _made(model)
            yield from (str(field.verbose_name) for field in _unnamed(model))


def say_names() -> None:
    """From now on these names are said in the language of whoever reads them."""
    for model in _models():
        options = model._meta
        if names := list(_made(model)):
            options.verbose_name = gettext_lazy(names[0])
            if len(names) > 1:
                options.verbose_name_plural = gettext_lazy(names[1])
        for field in _unnamed(model):
            field.verbose_name = gettext_lazy(str(field.verbose_name))


def _models() -> Iterator[type[Model]]:
    return (one for one in apps.get_models() if one.__module__.startswith(OURS))


def _made(model: type[Model]) -> list[str]:
    """What one and several of them are called, where their class does not say it."""
    options: Any = model._meta
    written = options.original_attrs
    if "verbose_name" in written:
        return []
    one = camel_case_to_spaces(options.object_name)
    return [one] if "verbose_name_plural" in written else [one, f"{one}s"]


def _unnamed(model: type[Model]) -> Iterator["Field[Any, Any]"]:
    for field in model._meta.get_fields():
        is_unnamed = getattr(field, "_verbose_name", None) is None
        if isinstance(field, Field) and is_unnamed and not field.primary_key:
            yield field
