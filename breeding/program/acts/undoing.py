"""Undoing an act: every row it wrote stands as it stood before, or nothing is undone."""

import datetime
import json
from collections.abc import Callable, Sequence
from typing import Any

from auditlog.models import LogEntry
from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.db.models import ProtectedError, prefetch_related_objects
from django.dispatch import Signal

from breeding.program.acts.alone import one_at_a_time
from breeding.program.acts.putting_back import Row, Undoing, all_put_back, column
from breeding.program.acts.resting import resting_on, rests_words
from breeding.program.models import Act, Person, Withdrawable
from breeding.program.parts import in_parts
from breeding.words.language import sentences, tell
from breeding.words.numbers import joined

# Sent with `rows`, the rows that stand as before; a receiver raises ValidationError to forbid it.
put_back = Signal()
# What a room says, for the receipt, of rows that stand as before on a day.
Saying = Callable[[Sequence[models.Model], datetime.date], str]
_sayings: dict[str, Saying] = {}


def add_saying(name: str, saying: Saying) -> None:
    """Called once by a room above, in its AppConfig.ready."""
    _sayings[name] = saying


def said_of_undone(rows: Sequence[models.Model], on: datetime.date) -> str:
    """What every room says of rows that were put back, in words for the receipt."""
    return sentences(*(saying(rows, on) for saying in _sayings.values()))


@transaction.atomic
def undo(act: Act, *, by: Person, now: datetime.datetime) -> list[models.Model]:
    """Put back all that an act has written, the latest first; what it made is withdrawn.

    Raises ValidationError, and nothing is undone, when something else rests on what it made, and
    when one of its rows was changed since. Returns the rows.
    """
    one_at_a_time()
    rows = rows_of(act)
    if not rows:
        raise ValidationError(tell("Nothing was written with it that can be undone."))
    now_there = _locked(rows)
    found = [_as_it_was_left(row, now_there.get((row.model, row.pk))) for row in rows]
    _refuse_when_resting([one for row, one in zip(rows, found, strict=True) if row.was_made])
    undoing = Undoing(by, now, {(row.model, row.pk) for row in rows if row.was_made})
    try:
        done = list(all_put_back(list(zip(rows, found, strict=True)), undoing))
    except ProtectedError as error:
        resting = rests_words(sorted(error.protected_objects, key=str))
        raise ValidationError(tell("It cannot be undone: {why}.", why=resting)) from None
    put_back.send(sender=Act, rows=done, act=act)
    return done


def rows_of(act: Act) -> list[Row]:
    """The rows that an act has written, the one written last first."""
    rows: dict[tuple[type[models.Model], Any], Row] = {}
    entries = LogEntry.objects.filter(cid=act.key).select_related("content_type").order_by("pk")
    for entry in entries:
        model = entry.content_type.model_class()
        if model is None:
            raise ValidationError(
                tell("{record} is of a kind that is no longer here.", record=entry.object_repr)
            )
        key = (model, model._meta.pk.to_python(entry.object_pk))
        row = rows.pop(key, None) or Row(*key)
        rows[key] = row  # the row written last stands last
        row.was_made |= entry.action == LogEntry.Action.CREATE
        row.was_deleted = entry.action == LogEntry.Action.DELETE
        for name, (before, after) in _changes(model, entry).items():
            row.before.setdefault(name, before)
            row.after[name] = after
    return [row for row in reversed(rows.values()) if not (row.was_made and row.was_deleted)]


def _changes(model: type[models.Model], entry: LogEntry) -> dict[str, tuple[Any, Any]]:
    """What each field held; nothing before a row was made, and nothing after it was deleted."""
    known = {one.name: one for one in model._meta.concrete_fields}
    is_new, is_gone = (
        entry.action == one for one in (LogEntry.Action.CREATE, LogEntry.Action.DELETE)
    )
    return {
        name: (
            None if is_new else _read(known[name], pair[0]),
            None if is_gone else _read(known[name], pair[1]),
        )
        for name, pair in (entry.changes or {}).items()
        if name in known and isinstance(pair, list | tuple) and len(pair) == 2
    }


def _read(of: Any, kept: Any) -> Any:
    """A value as the history keeps it, as the field holds it."""
    is_text = isinstance(of, models.CharField | models.TextField) and not of.null
    if kept is None or (kept == "None" and not is_text):
        return None
    if of.is_relation:
        return of.target_field.to_python(kept)
    if isinstance(of, models.FileField):
        return kept
    if isinstance(of, models.JSONField):
        return json.loads(kept, cls=of.decoder)
    if isinstance(of, models.DateTimeField):
        at = datetime.datetime.fromisoformat(str(kept))
        return at if at.tzinfo else at.replace(tzinfo=datetime.UTC)
    return of.to_python(kept)


def _locked(rows: list[Row]) -> dict[tuple[type[models.Model], Any], models.Model]:
    """The rows as they are now, by kind and key; nobody else writes them meanwhile."""
    keys: dict[type[models.Model], list[Any]] = {}
    for row in rows:
        keys.setdefault(row.model, []).append(row.pk)
    found = {}
    for model, wanted in keys.items():
        named = [one.name for one in model._meta.concrete_fields if one.is_relation]
        for part in in_parts(wanted):
            records = list(model._base_manager.select_for_update().filter(pk__in=part))
            prefetch_related_objects(records, *named)  # their names are said of each
            found.update({(model, record.pk): record for record in records})
    return found


def _as_it_was_left(row: Row, record: models.Model | None) -> models.Model | None:
    """The row as it is now. Raises ValidationError when it is not as the act left it."""
    if row.was_deleted:
        if record is not None:
            raise ValidationError(tell("{record} is there again already.", record=record))
        return None
    if record is None:
        raise ValidationError(tell("Something that was written with it is no longer there."))
    changed = [name for name, left in row.after.items() if not _same(record, name, left)]
    if changed:
        labels = joined([_label(row.model, name) for name in changed])
        raise ValidationError(
            tell(
                "It cannot be undone, because {kind} “{record}” was changed since ({fields}). "
                "Undo that first, or change it by hand.",
                kind=record._meta.verbose_name,
                record=record,
                fields=labels,
            )
        )
    return record


def _same(record: models.Model, name: str, left: Any) -> bool:
    now = getattr(record, column(record, name))
    is_file = isinstance(record._meta.get_field(name), models.FileField)
    return str(now) == str(left) if is_file else bool(now == left)


def _label(model: type[models.Model], name: str) -> str:
    return str(getattr(model._meta.get_field(name), "verbose_name", name))


def _refuse_when_resting(made: list[models.Model | None]) -> None:
    records = [one for one in made if one is not None]
    counting = [one for one in records if not (isinstance(one, Withdrawable) and one.is_withdrawn)]
    if found := resting_on(counting, besides=records):
        raise ValidationError(
            tell(
                "It cannot be undone, because {why}. Undo or withdraw that first.",
                why=rests_words(found),
            )
        )
