"""What an act has written of a row, as the history kept it: read when somebody asks for it."""

import datetime
import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache, cached_property, partial
from typing import Any

from auditlog.models import LogEntry
from django.db import models

from breeding.program.acts.together import fields_kept


@dataclass
class Row:
    """One row an act has written: what its fields held before, and what they held after it."""

    model: type[models.Model]
    pk: Any
    was_made: bool = False
    was_deleted: bool = False
    _told: list[tuple[int, Mapping[str, Any]]] = field(default_factory=list)

    def add(self, action: int, changes: Mapping[str, Any] | None) -> None:
        """The next line of the history about it."""
        self.was_made |= action == LogEntry.Action.CREATE
        self.was_deleted = action == LogEntry.Action.DELETE
        self._told.append((action, changes or {}))

    @cached_property
    def before(self) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for action, name, kept, _ in self._pairs():
            is_new = action == LogEntry.Action.CREATE
            found.setdefault(name, None if is_new else _readers(self.model)[name](kept))
        return found

    @cached_property
    def after(self) -> dict[str, Any]:
        return {
            name: None if action == LogEntry.Action.DELETE else _readers(self.model)[name](kept)
            for action, name, _, kept in self._pairs()
        }

    def is_told_of(self, record: models.Model) -> bool:
        """Whether the history would keep of it now what it kept last: it is as it was left.

        Where it would not it may still be, said in another way.
        """
        left: dict[str, Any] = {}
        for _, changes in self._told:
            left |= changes
        reads = _reads(self.model)
        for name, pair in left.items():
            if name not in reads:
                return False
            now = reads[name](record)
            if now != pair[1] and str(now) != pair[1]:
                return False
        return True

    def _pairs(self) -> Iterator[tuple[int, str, Any, Any]]:
        """By action and field: what was kept of it before and after."""
        known = _readers(self.model)
        for action, changes in self._told:
            for name, pair in changes.items():
                if name in known and isinstance(pair, list) and len(pair) == 2:
                    yield action, name, pair[0], pair[1]


@cache
def column(model: type[models.Model], name: str) -> str:
    """The attribute that holds a field's value: a key for one that points to a record."""
    return str(getattr(model._meta.get_field(name), "attname", name))


@cache
def _reads(model: type[models.Model]) -> dict[str, Callable[[Any], Any]]:
    """Of each field: how the history reads it in a record."""
    return {name: read for name, _, read in fields_kept(model)}


@cache
def _readers(model: type[models.Model]) -> dict[str, Callable[[Any], Any]]:
    """Of each field: a value as the history keeps it, as the field holds it."""
    return {one.name: _reader(one) for one in model._meta.concrete_fields}


def _reader(of: Any) -> Callable[[Any], Any]:
    is_text = isinstance(of, models.CharField | models.TextField) and not of.null
    held: Callable[[Any], Any] = of.to_python
    if of.is_relation:
        held = of.target_field.to_python
    elif isinstance(of, models.FileField):
        held = _as_kept
    elif isinstance(of, models.JSONField):
        held = partial(json.loads, cls=of.decoder)
    elif isinstance(of, models.DateTimeField):
        held = _moment

    def read(kept: Any) -> Any:
        return None if kept is None or (kept == "None" and not is_text) else held(kept)

    return read


def _as_kept(kept: Any) -> Any:
    return kept


def _moment(kept: Any) -> datetime.datetime:
    at = datetime.datetime.fromisoformat(str(kept))
    return at if at.tzinfo else at.replace(tzinfo=datetime.UTC)
