"""Every field of every record can be typed, comes in, goes out, or says why it does not."""

import inspect
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache

import pytest
from django.apps import apps
from django.db import models
from django.forms import BaseForm
from django.test.utils import isolate_apps

from breeding.records.incoming.kinds.table import KINDS
from breeding.records.incoming.meanings import BY_KEY
from tests.fields import (
    EXPORTED,
    FORM_OF,
    IMPORTED_AS,
    NOT_EXPORTED,
    NOT_IMPORTED,
    NOT_TYPED,
    TYPED_AS,
)
from tests.forms import form_classes, is_of_the_house


@dataclass(frozen=True)
class Door:
    """A way of fields in or out: which it takes, and why it leaves out the others.

    A reason stands at a field (room.Model.field), at a field of the base of several records, or
    at a record none of whose fields goes this way (room.Model).
    """

    called: str
    takes: frozenset[str]
    reasons: Mapping[str, str]

    def complaints(self, fields: Mapping[str, str]) -> list[str]:
        """What is wrong, for the fields that there are, each with the name its base gives it."""
        return sorted([*self._unsaid(fields), *self._stale(fields)])

    def _unsaid(self, fields: Mapping[str, str]) -> Iterator[str]:
        for name, base in fields.items():
            said = {name, base, record_of(name)} & self.reasons.keys()
            if not said and not {name, base} & self.takes:
                yield f"{name}: not in {self.called}, and no reason why"

    def _stale(self, fields: Mapping[str, str]) -> Iterator[str]:
        taken = {name for name, base in fields.items() if {name, base} & self.takes}
        covered = taken | {record_of(name) for name in taken} | {fields[name] for name in taken}
        there = {*fields, *fields.values(), *map(record_of, fields)}
        for name, reason in self.reasons.items():
            if not reason.strip():
                yield f"{name}: an empty reason"
            elif name not in there:
                yield f"{name}: a reason for what is no more there"
            elif name in covered:
                yield f"{name}: in {self.called}, so that its reason is out of date"
            elif name in fields and record_of(name) in self.reasons:
                yield f"{name}: a reason that its record has given already"


def record_of(name: str) -> str:
    return name.rpartition(".")[0]


def rooms_models() -> list[type[models.Model]]:
    rooms = [room for room in apps.get_app_configs() if room.name.startswith("breeding.")]
    return [model for room in rooms for model in room.get_models()]


def fields_of(found: Iterable[type[models.Model]]) -> dict[str, str]:
    """Room.Model.field of every stored field, with the name that an abstract base gives it."""
    return {
        f"{model._meta.label}.{field.name}": f"{base_of(model, field.name)}.{field.name}"
        for model in found
        for field in (*model._meta.concrete_fields, *model._meta.many_to_many)
        if not field.auto_created
    }


def base_of(model: type[models.Model], name: str) -> str:
    """The abstract model of the house that a field comes from, or the model itself."""
    holding = [
        one
        for one in model.__mro__
        if issubclass(one, models.Model)
        and is_of_the_house(one)
        and name in {field.name for field in one._meta.local_fields}
    ]
    return str((holding or [model])[-1]._meta.label)


def typed() -> frozenset[str]:
    """The fields that some form of the house has, under their own name or that of the table."""
    forms = {f"{room_of(kind)}.{kind.__name__}": kind for kind in form_classes()}
    found = set(TYPED_AS)
    for called, kind in forms.items():
        options = getattr(kind, "_meta", None)
        record = options.model._meta.label if options else FORM_OF.get(called)
        of_it = {name for names in FIELDS.items() for name in names if record_of(name) == record}
        found |= {name for name in of_it if has_field(kind, name.rpartition(".")[2])}
    for name, where in TYPED_AS.items():
        called, _, field = where.rpartition(".")
        assert has_field(forms[called], field), f"{name}: there is no {where}"
    return frozenset(found)


def has_field(kind: type[BaseForm], name: str) -> bool:
    """Whether a form declares the field, or makes it as it is built (`self.fields[...] = `)."""
    if name in kind.base_fields:
        return True
    written = "".join(source_of(one) for one in kind.__mro__ if is_of_the_house(one))
    literal = re.findall(r'self\.fields\["(\w+)"\] = ', written)
    patterns = [
        re.sub(r"\{[^}]*\}", r"\\w+", made)
        for made in re.findall(r'self\.fields\[f"([^"]+)"\] = ', written)
        if re.search(r"[a-z]{2}", re.sub(r"\{[^}]*\}", "", made))
    ]
    return name in literal or any(re.fullmatch(one, name) for one in patterns)


@cache
def source_of(kind: type) -> str:
    return inspect.getsource(kind)


def room_of(kind: type) -> str:
    return kind.__module__.split(".")[1]


def imported() -> frozenset[str]:
    """The fields that a column of some kind of table can mean."""
    for name, meaning in IMPORTED_AS.items():
        assert meaning in BY_KEY, f"{name}: no column means {meaning}"
    alike = {f"animals.Animal.{meaning}" for meaning in BY_KEY} & FIELDS.keys()
    taken = {name for kind in KINDS.values() for name in kind.takes}
    assert taken <= FIELDS.keys(), f"no such fields: {taken - FIELDS.keys()}"
    return frozenset(alike | set(IMPORTED_AS) | taken)


FIELDS = fields_of(rooms_models())
DOORS = {
    "a form": Door("any form", typed(), NOT_TYPED),
    "the import": Door("the meanings of a column", imported(), NOT_IMPORTED),
    "the export": Door("the export", EXPORTED, NOT_EXPORTED),
}


@pytest.mark.parametrize("door", DOORS.values(), ids=DOORS)
def test_every_field_goes_through_the_door_or_says_why_not(door):
    assert door.complaints(FIELDS) == []


def test_what_the_tables_name_is_there():
    there = {*FIELDS, *FIELDS.values()}
    assert set(TYPED_AS) <= there
    assert set(IMPORTED_AS) <= there
    assert set(FORM_OF.values()) <= {record_of(name) for name in there}
    assert set(FORM_OF) <= {f"{room_of(kind)}.{kind.__name__}" for kind in form_classes()}


def besides(door: Door, fields: Mapping[str, str], of: Door | None = None) -> list[str]:
    """What is wrong of these fields, or with this door, that is not wrong as things are."""
    return sorted({*door.complaints(fields)} - {*(of or door).complaints(FIELDS)})


@isolate_apps("breeding.animals")
def a_new_field() -> dict[str, str]:
    """The fields of animals once somebody has added one to the model, and to nothing else."""

    class Animal(models.Model):
        trial_note = models.CharField(max_length=200, blank=True)

        class Meta:
            app_label = "animals"

        def __str__(self) -> str:
            return self.trial_note

    return FIELDS | fields_of([Animal])


@pytest.mark.parametrize("door", ["a form", "the import"])
def test_a_new_field_of_a_model_and_of_nothing_else_is_found(door):
    door = DOORS[door]
    why = f"not in {door.called}, and no reason why"
    assert besides(door, a_new_field()) == [f"animals.Animal.trial_note: {why}"]


def test_a_field_of_a_new_record_is_found_at_every_door():
    fields = FIELDS | {"animals.Scale.note": "animals.Scale.note"}
    for door in DOORS.values():
        why = f"not in {door.called}, and no reason why"
        assert besides(door, fields) == [f"animals.Scale.note: {why}"]


@pytest.mark.parametrize(
    ("name", "reason", "why"),
    [
        ("animals.Animal.code", " ", "an empty reason"),
        ("animals.Animal.trial_note", "because", "a reason for what is no more there"),
        ("animals.Scale", "because", "a reason for what is no more there"),
        ("animals.Animal.markings", "typed", "in any form, so that its reason is out of date"),
        ("housing.Tank", "typed", "in any form, so that its reason is out of date"),
        ("animals.Profile.key", "data", "a reason that its record has given already"),
    ],
)
def test_a_reason_that_says_nothing_or_is_out_of_date_is_found(name, reason, why):
    as_it_is = DOORS["a form"]
    door = replace(as_it_is, reasons=NOT_TYPED | {name: reason})
    assert besides(door, FIELDS, of=as_it_is) == [f"{name}: {why}"]


def test_the_first_field_that_an_export_writes_ends_the_reason_of_its_record():
    as_it_is = DOORS["the export"]
    door = replace(as_it_is, takes=as_it_is.takes | {"program.KeptForm.address"})
    why = "in the export, so that its reason is out of date"
    assert besides(door, FIELDS, of=as_it_is) == [f"program.KeptForm: {why}"]
