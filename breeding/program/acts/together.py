"""Several rows at once: in few statements, each with its line in the history as alone."""

import json
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from functools import cache
from operator import attrgetter
from typing import Any, TypeVar

from auditlog import get_logentry_model
from auditlog.cid import get_cid
from auditlog.context import auditlog_disabled
from auditlog.diff import get_field_value, model_instance_diff
from auditlog.models import LogEntry
from auditlog.registry import auditlog
from django.contrib.contenttypes.models import ContentType
from django.db import connection, models
from django.db.models.signals import pre_save

from breeding.program.acts.inserting import change_each, insert_alike
from breeding.program.parts import in_parts

Row = TypeVar("Row", bound=models.Model)
_Line = tuple[Any, str, str]  # of the history: a key, what its row is called, and the changes


def write_together(rows: Sequence[Row], *, as_made: Sequence[Row] = ()) -> None:
    """New rows of one model: as `save` would write each after the other, history and all.

    They get their keys. What the model's own `save` does besides is for the caller to have done.
    as_made: each as it was when it was made, where some were changed before they are written:
    these changes are for the caller to keep, with `keep_changes`.
    """
    for part, made in zip(in_parts(rows), in_parts(as_made or rows), strict=True):
        type(part[0])._base_manager.bulk_create(part)
        moments = [one.attname for one in part[0]._meta.local_concrete_fields if _is_moment(one)]
        for row, then in zip(part, made, strict=True):
            then.pk = row.pk
            for name in moments:  # told by the database's write, of the one that was written
                setattr(then, name, getattr(row, name))
        if _has_history(type(part[0])):
            lines = [_line(row, _changes_of(row)) for row in made]
            _keep_history(type(part[0]), LogEntry.Action.CREATE, lines)


def write_parts(of_wholes: Sequence[tuple[models.Model, Sequence[Row]]], of: str) -> None:
    """New rows of one model, of each whole its own, which they name in the field `of`: as
    `write_together` would write them, whole after whole.

    The wholes are new, so that none has such rows yet, and in the order of their keys. One row may
    stand for its like in many of them: what is alike is prepared once.
    """
    alike: dict[int, _Part] = {}
    every: list[tuple[_Part, models.Model]] = []
    for whole, rows in of_wholes:
        for row in rows:
            part = alike.get(id(row))
            if part is None:
                part = alike[id(row)] = _Part(row, of, whole)
            every.append((part, whole))
    for some in in_parts(every):
        blank = some[0][0]
        columns = {name: [part.held[name] for part, _ in some] for name in blank.held}
        insert_alike(blank.row, columns | {blank.whole.attname: [whole.pk for _, whole in some]})
    if every and _has_history(model := type(every[0][0].row)):
        keys = _keys_of_parts(model, of, [whole for whole, _ in of_wholes])
        for told in in_parts(list(zip(keys, every, strict=True))):
            lines = [part.line(key, whole) for key, (part, whole) in told]
            _keep_history(model, LogEntry.Action.CREATE, lines)


def _keys_of_parts(
    model: type[models.Model], of: str, wholes: Sequence[models.Model]
) -> Iterator[Any]:
    for some in in_parts(wholes):
        found = model._base_manager.filter(**{f"{of}__in": [one.pk for one in some]})
        yield from found.order_by("pk").values_list("pk", flat=True)


class _Part:
    """A row that is written for many wholes: prepared but for its key and the whole it names."""

    def __init__(self, row: models.Model, of: str, whole: models.Model) -> None:
        setattr(row, of, whole)
        self.row = row
        self.whole: Any = row._meta.get_field(of)
        self.held = {
            one.attname: one.get_db_prep_save(one.pre_save(row, add=True), connection)
            for one in row._meta.local_concrete_fields
            if not one.primary_key and one is not self.whole
        }
        self._key = str(row._meta.pk.name)
        its = _changes_of(row)
        self._told = {self._key: ""} | {one: json.dumps({one: its[one]})[1:-1] for one in its}

    def line(self, key: int, whole: models.Model) -> _Line:
        """Of the one that got this key."""
        self.row.pk = key
        self.whole.set_cached_value(self.row, whole)  # by which it is called
        of, told = self.whole.name, self._told
        told[self._key] = f'"{self._key}": ["None", "{key}"]'
        told[of] = f'"{of}": ["None", "{whole.pk}"]'
        return key, str(self.row), f"{{{', '.join(told.values())}}}"


def change_together(changes: Sequence[tuple[Row, Row]], names: Collection[str]) -> None:
    """Changed rows of one model: each before and after it, in the order of the changes.

    names: the fields that may be others. What the model's own `save` does besides is for the
    caller to have done.
    """
    last = {after.pk: after for _, after in changes}
    for part in in_parts(list(last.values())):
        change_each(part, names)
    keep_changes(changes, names)


def keep_changes(changes: Sequence[tuple[Row, Row]], names: Collection[str] | None = None) -> None:
    """The history of changed rows of one model that are written: each before and after it.

    names: the fields that may be others; None: any.
    """
    for part in in_parts(changes):
        if _has_history(type(part[0][1])):
            found = [(row, _difference(before, row, names)) for before, row in part]
            lines = [_line(row, its) for row, its in found if its]
            _keep_history(type(part[0][1]), LogEntry.Action.UPDATE, lines)


def delete_together(rows: Sequence[Row]) -> None:
    """Rows of one model that no other row names: each with its line in the history."""
    for part in in_parts(rows):
        model = type(part[0])
        if _has_history(model):
            lines = [_line(row, model_instance_diff(row, None) or {}) for row in part]
            _keep_history(model, LogEntry.Action.DELETE, lines)
        found = model._base_manager.filter(pk__in=[row.pk for row in part])
        found._raw_delete(found.db)


def _is_moment(field: Any) -> bool:
    return bool(getattr(field, "auto_now", False) or getattr(field, "auto_now_add", False))


def _has_history(model: type[models.Model]) -> bool:
    return not auditlog_disabled.get() and auditlog.contains(model)


def _line(row: models.Model, changes: Mapping[str, Any]) -> _Line:
    return row.pk, str(row), json.dumps(changes)


def _keep_history(model: type[models.Model], action: int, lines: Sequence[_Line]) -> None:
    """Each with who and by which act: auditlog itself sees single rows alone."""
    if not lines:
        return
    history = get_logentry_model()
    kind = ContentType.objects.get_for_model(model)
    blank = history(content_type=kind, action=action, cid=get_cid())
    # Who is signed in stands in there through a signal, of all of them the same.
    pre_save.send(sender=history, instance=blank, raw=False, using="default", update_fields=None)
    keys, called, changes = zip(*lines, strict=True)
    insert_alike(
        blank,
        {
            "object_pk": [str(key) for key in keys],
            "object_id": [key if isinstance(key, int) else None for key in keys],
            "object_repr": called,
            "changes": changes,
        },
    )


def _difference(
    before: models.Model, after: models.Model, names: Collection[str] | None
) -> dict[str, tuple[str, str]]:
    """What is another in these fields (None: in any), as auditlog keeps it."""
    found = {}
    for field, _, read in fields_kept(type(after)):
        if names is None or field in names:
            old, new = read(before), read(after)
            if old != new:
                found[field] = (str(old), str(new))
    return found


def _changes_of(row: models.Model) -> dict[str, tuple[str, str]]:
    """Every field that holds something, from nothing: as auditlog keeps it of a row made alone."""
    found = {}
    for field, nothing, read in fields_kept(type(row)):
        value = read(row)
        if value != nothing:
            found[field] = (str(nothing), str(value))
    return found


@cache
def fields_kept(model: type[models.Model]) -> tuple[tuple[str, Any, Callable[[Any], Any]], ...]:
    """The fields whose values are kept: the name of each, what it holds in no row, and how auditlog
    reads it."""
    left_out = auditlog.get_model_fields(model)["exclude_fields"]
    return tuple(
        (one.name, get_field_value(None, one), _reading(one))
        for one in model._meta.concrete_fields
        if one.name not in left_out
    )


def _reading(field: Any) -> Callable[[Any], Any]:
    """As `get_field_value` does, which asks each time of what kind the field is."""
    read = attrgetter(field.attname)
    if isinstance(field, (models.DateTimeField, models.JSONField)):
        return lambda row: get_field_value(row, field)
    return read if field.is_relation else lambda row: str(read(row))
