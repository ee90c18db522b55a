"""What a kept form holds, in the words of the form it was typed into."""

import inspect
import re
from collections.abc import Iterator
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms.utils import pretty_name
from django.urls import Resolver404, resolve

from breeding.program.models import KeptForm
from breeding.program.problems.words import own_label
from breeding.words.language import message, tell

# Fields that the page writes for itself.
_NOT_TYPED = re.compile(r"seen|back|.*_seen|.*-(TOTAL|INITIAL|MIN_NUM|MAX_NUM)_FORMS|initial-.*")
_OF_A_SET = re.compile(r"(?:\w+-)?(\d+)-(\w+)")
ROOMS_CALLED = {
    **{"agenda": message("Agenda"), "animals": message("Animals"), "arrivals": message("Arrivals")},
    **{"buyers": message("Buyers"), "feeding": message("Feeding"), "finding": message("Finding")},
    **{"health": message("Health"), "housing": message("Housing"), "litters": message("Litters")},
    **{"offers": message("Offers"), "origin": message("Origin"), "pairings": message("Pairings")},
    **{"planning": message("Planning"), "program": message("Program")},
    **{"records": message("Records"), "sheets": message("Sheets")},
}


def title_of(kept: KeptForm) -> str:
    """Which form it is, by its address: "Pairings: log"."""
    try:
        match = resolve(kept.address.partition("?")[0])
    except Resolver404:
        return tell("A form that is no longer here")
    page = (match.url_name or "").replace("_", " ")
    if not match.app_name:
        return page
    room = ROOMS_CALLED.get(match.app_name, match.app_name.capitalize())
    return tell("{room}: {page}", room=tell(room), page=page)


def lines_of(kept: KeptForm) -> list[tuple[str, str]]:
    """Each thing typed with its label; a number that stands for a record by the record's name."""
    fields = _fields_of(kept)
    lines = [
        (_label(fields, name), _value(fields.get(_own(name)), value))
        for name, value in kept.fields
        if value.strip() and not _NOT_TYPED.fullmatch(name)
    ]
    return lines + [(_label(fields, field), name) for field, name, _, _ in kept.files]


def _own(name: str) -> str:
    match = _OF_A_SET.fullmatch(name)
    return match[2] if match else name


def _label(fields: dict[str, forms.Field], name: str) -> str:
    field = fields.get(_own(name))
    own = _own(name)
    label = own_label(field, own) if field else tell(pretty_name(own))
    match = _OF_A_SET.fullmatch(name)
    return tell("{row}: {label}", row=int(match[1]) + 1, label=label) if match else label


def _value(field: forms.Field | None, value: str) -> str:
    if isinstance(field, forms.BooleanField):
        return tell("yes")
    if (words_of := getattr(field, "words_of", None)) is not None:
        return str(words_of(value))
    try:
        if isinstance(field, forms.ModelChoiceField) and field.queryset is not None:
            found = field.queryset.model._base_manager.filter(pk=value).first()
            return field.label_from_instance(found) if found else value
    except (ValueError, OverflowError, ValidationError):
        return value
    if isinstance(field, forms.ChoiceField):
        return next((str(label) for key, label in _flat(field.choices) if str(key) == value), value)
    return value


def _flat(choices: Any) -> Iterator[tuple[Any, Any]]:
    for key, label in choices:
        if isinstance(label, list | tuple):
            yield from label
        else:
            yield key, label


def _fields_of(kept: KeptForm) -> dict[str, forms.Field]:
    """The fields of the forms that the view's module knows: all of them, the best fitting last."""
    try:
        view = resolve(kept.address.partition("?")[0]).func
    except Resolver404:
        return {}
    module = inspect.getmodule(inspect.unwrap(view))
    known = [
        one.base_fields
        for one in vars(module).values()
        if isinstance(one, type) and issubclass(one, forms.BaseForm) and hasattr(one, "base_fields")
    ]
    typed = {_own(name) for name, _ in kept.fields}
    fields: dict[str, forms.Field] = {}
    for one in sorted(known, key=lambda fields: len(typed & fields.keys())):
        fields |= one
    return fields
