"""How a form asks for an animal: from a list while that is short, else by its name or code."""

import re
from collections.abc import Iterator
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q, QuerySet
from django.urls import reverse_lazy

from breeding.animals.around import AROUND
from breeding.animals.models import Animal
from breeding.program.frame.memory import remembered
from breeding.program.generics import ModelChoiceField, ModelChoiceIterator
from breeding.words.language import tell

MOST_LISTED = 200  # a list that is longer is no help at the tank, and megabytes on its way there
MOST_PROPOSED = 12
_WITH_CODE = re.compile(r".*\((?P<code>[^()]+)\)\s*\Z")


class NameInput(forms.TextInput):
    """A line for a name or a code; a script proposes who is meant, and none is needed."""

    template_name = "animals/_name_input.html"

    def get_context(self, name: str, value: Any, attrs: Any) -> dict[str, Any]:
        context: dict[str, Any] = super().get_context(name, value, attrs)
        context["widget"]["names_address"] = reverse_lazy("animals:named")
        return context


class HereFirst(ModelChoiceIterator):
    """Those that are here, then those that have left or died, under a heading of their own.

    Those with a name of their own come before pups that have a code alone.
    """

    def __iter__(self) -> Iterator[Any]:
        gone = []
        if self.field.empty_label is not None:
            yield ("", self.field.empty_label)
        for one in sorted(self.queryset.all(), key=lambda one: not one.call_name):
            if one.state in AROUND:
                yield self.choice(one)
            else:
                gone.append(self.choice(one))
        if gone:
            yield (tell("No longer here"), gone)


class AnimalChoice(ModelChoiceField):
    """Choose an animal by its name and code; where there are many, write one of the two."""

    iterator = HereFirst

    def label_from_instance(self, obj: Any) -> str:
        return str(obj.full_name)

    is_typed = False

    def get_bound_field(self, form: forms.BaseForm, field_name: str) -> forms.BoundField:
        """Only now the rows are counted: a class of forms is made before there is a database."""
        if not self.is_typed and _are_many(self._animals):
            self.is_typed = True
            self.allowed = tell("the name or the code of an animal, as it is on record")
            self.widget = NameInput(attrs=self.widget.attrs)
            self.widget.is_required = self.required
        return super().get_bound_field(form, field_name)

    @property
    def _animals(self) -> "QuerySet[Animal]":
        return Animal.objects.none() if self.queryset is None else self.queryset

    def prepare_value(self, value: Any) -> Any:
        if not self.is_typed or value in self.empty_values:
            return super().prepare_value(value)
        if isinstance(value, Animal):
            return value.full_name
        found = named(self._animals, str(value)) or _by_key(self._animals, value)
        return found[0].full_name if len(found) == 1 else value

    def to_python(self, value: Any) -> Any:
        if not self.is_typed or value in self.empty_values or isinstance(value, Animal):
            return super().to_python(value)
        found = named(self._animals, str(value)) or _by_key(self._animals, value)
        if len(found) == 1:
            return found[0]
        raise ValidationError(_several(value, found) if found else self._nobody(str(value)))

    def _nobody(self, text: str) -> str:
        near = [one.full_name for one in beginning_with(self._animals, text[:2])[:3]]
        if not near:
            return tell(
                "Nobody who can be chosen here is called “{typed}”. Write a name or a code.",
                typed=text,
            )
        return tell(
            "Nobody who can be chosen here is called “{typed}”. Write a name or a code, such as "
            "{names}.",
            typed=text,
            names=", ".join(near),
        )


def named(animals: "QuerySet[Animal]", text: str) -> list[Animal]:
    """Who of these has this code, or else this name: more than one where several share it."""
    text = _searchable(text)
    within = _WITH_CODE.match(text)
    codes = {text, within["code"].strip()} if within else {text}
    by_code = list(animals.filter(_any_of("code__iexact", codes))[:MOST_PROPOSED])
    return by_code or list(animals.filter(call_name__iexact=text)[:MOST_PROPOSED])


def beginning_with(animals: "QuerySet[Animal]", text: str) -> list[Animal]:
    """Who of these is called so, or has a code that begins so: a dozen at most, by name."""
    text = _searchable(text)
    if not text:
        return []
    found = animals.filter(Q(call_name__istartswith=text) | Q(code__istartswith=text))
    return list(found.order_by("call_name", "code")[:MOST_PROPOSED])


def _searchable(text: str) -> str:
    """Without the letter that no database takes."""
    return text.replace("\0", "").strip()


def _any_of(lookup: str, values: set[str]) -> Q:
    found = Q(pk__in=[])
    for value in values:
        found |= Q(**{lookup: value})
    return found


def _are_many(animals: "QuerySet[Animal]") -> bool:
    if animals.query.is_empty():
        return False
    few = animals.order_by().values("pk")[: MOST_LISTED + 1]
    return remembered(f"many:{few.query}", lambda: few.count() > MOST_LISTED)


def _by_key(animals: "QuerySet[Animal]", value: Any) -> list[Animal]:
    """By the key, as a list sends it and as links carry it."""
    text = str(value)
    is_key = text.isascii() and text.isdecimal() and len(text) < 19
    return list(animals.filter(pk=int(text))) if is_key else []


def _several(value: Any, found: list[Animal]) -> str:
    names = ", ".join(one.full_name for one in found)
    return tell("“{typed}” may be any of these: {names}. Write the code.", typed=value, names=names)
