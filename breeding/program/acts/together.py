"""Several rows at once: in few statements, each with its line in the history as alone."""

from collections.abc import Callable, Collection, Mapping, Sequence
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
from django.db import models
from django.db.models.signals import pre_save

from breeding.program.acts.inserting import change_each, insert_alike
from breeding.program.parts import in_parts

Row = TypeVar("Row", bound=models.Model)


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
            _keep_history(made, LogEntry.Action.CREATE, [_changes_of(row) for row in made])


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
            told = [(row, its) for row, its in found if its]
            _keep_history(
                [row for row, _ in told], LogEntry.Action.UPDATE, [its for _, its in told]
            )


def delete_together(rows: Sequence[Row]) -> None:
    """Rows of one model that no other row names: each with its line in the history."""
    for part in in_parts(rows):
        model = type(part[0])
        if _has_history(model):
            changes = [model_instance_diff(row, None) or {} for row in part]
            _keep_history(part, LogEntry.Action.DELETE, changes)
        found = model._base_manager.filter(pk__in=[row.pk for row in part])
        found._raw_delete(found.db)


def _is_moment(field: Any) -> bool:
    return bool(getattr(field, "auto_now", False) or getattr(field, "auto_now_add", False))


def _has_history(model: type[models.Model]) -> bool:
    return not auditlog_disabled.get() and auditlog.contains(model)


def _keep_history(
    rows: Sequence[models.Model], action: int, changes: Sequence[Mapping[str, Any]]
) -> None:
    """A line for each, with who and by which act: auditlog itself sees single rows alone."""
    if not rows:
        return
    model = get_logentry_model()
    kind = ContentType.objects.get_for_model(type(rows[0]))
    blank = model(content_type=kind, action=action, cid=get_cid())
    # Who is signed in stands in there through a signal, of all of them the same.
    pre_save.send(sender=model, instance=blank, raw=False, using="default", update_fields=None)
    insert_alike(
        blank,
        (
            {
                "object_pk": row.pk,
                "object_id": row.pk if isinstance(row.pk, int) else None,
                "object_repr": str(row),
                "changes": its,
            }
            for row, its in zip(rows, changes, strict=True)
        ),
    )


def _difference(
    before: models.Model, after: models.Model, names: Collection[str] | None
) -> dict[str, tuple[str, str]]:
    """What is another in these fields (None: in any), as auditlog keeps it."""
    found = {}
    for field, _, read in _fields_kept(type(after)):
        if names is None or field in names:
            old, new = read(before), read(after)
            if old != new:
                found[field] = (str(old), str(new))
    return found


def _changes_of(row: models.Model) -> dict[str, tuple[str, str]]:
    """Every field that holds something, from nothing: as auditlog keeps it of a row made alone."""
    found = {}
    for field, nothing, read in _fields_kept(type(row)):
        value = read(row)
        if value != nothing:
            found[field] = (str(nothing), str(value))
    return found


@cache
def _fields_kept(model: type[models.Model]) -> tuple[tuple[str, Any, Callable[[Any], Any]], ...]:
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
