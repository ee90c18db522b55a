"""Labels that nobody wrote: of fields of forms and columns of lists that go by their name."""

from collections.abc import Iterator
from importlib import import_module
from typing import Any

from django import forms
from django.conf import settings
from django.forms.utils import pretty_name
from django.utils.text import capfirst

from breeding.program.language.names import OURS


def labels_of(room: str) -> Iterator[str]:
    """The labels of a room's forms and lists that are made of names in the code."""
    from breeding.program.lists.page import LISTS

    import_module(settings.ROOT_URLCONF)  # which loads every form and list
    inside = f"{OURS}{room}."
    for form in _below(forms.BaseForm):
        if form.__module__.startswith(inside):
            fields = getattr(form, "base_fields", {}).items()
            yield from (pretty_name(name) for name, field in fields if field.label is None)
    for table in LISTS.values():
        if table.__module__.startswith(inside):
            columns = table.base_columns.items()
            unnamed = [name for name, column in columns if column.verbose_name is None]
            yield from (capfirst(name.replace("_", " ")) for name in unnamed)


def _below(kind: Any) -> Iterator[Any]:
    for one in kind.__subclasses__():
        yield one
        yield from _below(one)
