"""Several new rows at once: in few statements, each with its line in the history as alone."""

from collections.abc import Sequence
from functools import cache
from typing import Any

from auditlog import get_logentry_model
from auditlog.cid import get_cid
from auditlog.context import auditlog_disabled
from auditlog.diff import get_field_value
from auditlog.models import LogEntry
from auditlog.registry import auditlog
from django.contrib.contenttypes.models import ContentType
from django.db import models
from django.db.models.signals import pre_save

AT_ONCE = 500  # rows held a second time, as their history, while they are written


def write_together(rows: Sequence[models.Model]) -> None:
    """New rows of one model: as `save` would write each after the other, history and all.

    They get their keys. What the model's own `save` does besides is for the caller to have done.
    """
    for begin in range(0, len(rows), AT_ONCE):
        part = rows[begin : begin + AT_ONCE]
        type(part[0])._base_manager.bulk_create(part)
        if not auditlog_disabled.get() and auditlog.contains(type(part[0])):
            _keep_history(part)


def _keep_history(rows: Sequence[models.Model]) -> None:
    """A line for each, with who and by which act: auditlog itself sees single rows alone."""
    model = get_logentry_model()
    kind = ContentType.objects.get_for_model(type(rows[0]))
    entries = [
        model(
            content_type=kind,
            object_pk=row.pk,
            object_id=row.pk if isinstance(row.pk, int) else None,
            object_repr=str(row),
            action=LogEntry.Action.CREATE,
            changes=_changes_of(row),
            cid=get_cid(),
        )
        for row in rows
    ]
    for entry in entries:  # who is signed in stands in there through a signal
        pre_save.send(sender=model, instance=entry, raw=False, using="default", update_fields=None)
    model.objects.bulk_create(entries)


def _changes_of(row: models.Model) -> dict[str, tuple[str, str]]:
    """Every field that holds something, from nothing: as auditlog keeps it of a row made alone."""
    found = {}
    for field, nothing in _fields_kept(type(row)):
        value = get_field_value(row, field)
        if value != nothing:
            found[field.name] = (str(nothing), str(value))
    return found


@cache
def _fields_kept(model: type[models.Model]) -> tuple[tuple[Any, Any], ...]:
    """The fields whose values are kept, each with what it holds in no row."""
    left_out = auditlog.get_model_fields(model)["exclude_fields"]
    return tuple(
        (one, get_field_value(None, one))
        for one in model._meta.concrete_fields
        if one.name not in left_out
    )
