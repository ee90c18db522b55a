"""Every form class of the rooms, and how the pages build each of them."""

import copy
import importlib
import pkgutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django import forms
from django.core.files.uploadedfile import SimpleUploadedFile
from django.forms.widgets import MediaDefiningClass
from django.utils.datastructures import MultiValueDict

import breeding
from tests.everything import picture
from tests.hostile import FormReader

Build = Callable[..., forms.BaseForm]


def form_classes() -> list[type[forms.BaseForm]]:
    """Every form class written in a room, found by walking its modules."""
    for module in pkgutil.walk_packages(breeding.__path__, "breeding."):
        if "migrations" not in module.name and not module.name.endswith("__main__"):
            importlib.import_module(module.name)
    found = {one for one in below(forms.BaseForm) if is_of_the_house(one)}
    return sorted((one for one in found if hasattr(one, "base_fields")), key=_full_name)


def below(kind: type) -> Iterator[type]:
    """The class and every class made from it."""
    yield kind
    for one in kind.__subclasses__():
        yield from below(one)


def is_of_the_house(kind: type) -> bool:
    return kind.__module__.startswith("breeding.")


def _full_name(kind: type) -> str:
    return f"{kind.__module__}.{kind.__name__}"


@contextmanager
def forms_as_built() -> Iterator[dict[tuple[type, frozenset[str]], Build]]:
    """Notes each form that is built meanwhile, and how to build it again with other values.

    One for every set of fields that a class has shown.
    """
    seen: dict[tuple[type, frozenset[str]], Build] = {}

    def build(kind: type, *args: Any, **kwargs: Any) -> Any:
        made = type.__call__(kind, *args, **kwargs)
        written = [one for one in kind.__mro__ if is_of_the_house(one)]
        if written and isinstance(made, forms.BaseForm):
            seen.setdefault((written[0], frozenset(made.fields)), _again(kind, args, kwargs))
        return made

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(MediaDefiningClass, "__call__", build, raising=False)
        yield seen


def _again(kind: type, args: tuple[Any, ...], kwargs: dict[str, Any]) -> Build:
    """Builds the same form, about an untouched copy of the same row."""
    kept = {name: value for name, value in kwargs.items() if name not in ("data", "files")}
    about = copy.deepcopy(kept.pop("instance", None))

    def build(sent: Any = None, files: Any = None) -> forms.BaseForm:
        own = {} if about is None else {"instance": copy.deepcopy(about)}
        made: forms.BaseForm = kind(sent, files, *args[2:], **kept, **own)
        return made

    return build


def sound_values(form: forms.BaseForm) -> tuple[MultiValueDict, MultiValueDict]:
    """What a browser would send of a form as it is shown, with every needed field filled in."""
    reader = FormReader()
    fields = "".join(str(form[name]) for name in form.fields)
    reader.feed(f'<form method="post">{fields}</form>')
    _, _, values = reader.forms[0]
    files = MultiValueDict()
    for name, field in form.fields.items():
        shown = form.add_prefix(name)
        if isinstance(field, forms.FileField):
            values.pop(shown, None)
            files[shown] = SimpleUploadedFile("mira.jpg", picture().getvalue(), "image/jpeg")
        elif field.required and not values.get(shown):
            values[shown] = _something(field)
    return MultiValueDict({name: [value] for name, value in values.items()}), files


def _something(field: forms.Field) -> str:
    if isinstance(field, forms.EmailField):
        return "jo@example.org"
    if isinstance(field, forms.IntegerField | forms.DecimalField | forms.FloatField):
        return "1"
    return "a-lantern-in-fog"
