"""Undoing an act: every row it wrote stands as it stood before, or nothing is undone."""

import datetime
from collections.abc import Callable, Mapping, Sequence, Set
from functools import cache
from typing import Any

from auditlog.models import LogEntry
from django.contrib.contenttypes.models import ContentType
from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.db.models import ProtectedError
from django.dispatch import Signal

from breeding.program.acts.alone import one_at_a_time
from breeding.program.acts.putting_back import Undoing, all_put_back
from breeding.program.acts.resting import Key, resting_on, rests_words
from breeding.program.acts.written import Row, column
from breeding.program.models import Act, Person, Withdrawable
from breeding.program.problems.several import read_of
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
    found = [(row, _as_it_was_left(row, now_there.get((row.model, row.pk)))) for row in rows]
    undoing = Undoing(by, now, {(row.model, row.pk) for row in rows if row.was_made})
    _refuse_when_resting([one for row, one in found if row.was_made and one], undoing.made)
    try:
        done = list(all_put_back(found, undoing))
    except ProtectedError as error:
        resting = rests_words(sorted(error.protected_objects, key=str))
        raise ValidationError(tell("It cannot be undone: {why}.", why=resting)) from None
    put_back.send(sender=Act, rows=done, act=act, written=rows)
    return done


def rows_of(act: Act) -> list[Row]:
    """The rows that an act has written, the one written last first."""
    rows: dict[tuple[type[models.Model], Any], Row] = {}
    entries = LogEntry.objects.filter(cid=act.key).order_by("pk")
    columns = ("content_type", "object_pk", "object_repr", "action", "changes")
    model_of = cache(lambda kind: ContentType.objects.get_for_id(kind).model_class())
    for kind, pk, called, action, changes in entries.values_list(*columns):
        model = model_of(kind)
        if model is None:
            raise ValidationError(
                tell("{record} is of a kind that is no longer here.", record=called)
            )
        key = (model, model._meta.pk.to_python(pk))
        row = rows.pop(key, None) or Row(*key)
        rows[key] = row  # the row written last stands last
        row.add(action, changes)
    return [row for row in reversed(rows.values()) if not (row.was_made and row.was_deleted)]


def _locked(rows: list[Row]) -> dict[tuple[type[models.Model], Any], models.Model]:
    """The rows as they are now, by kind and key; nobody else writes them meanwhile."""
    keys: dict[type[models.Model], list[Any]] = {}
    for row in rows:
        keys.setdefault(row.model, []).append(row.pk)
    found = {}
    for model, wanted in keys.items():
        locked = model._base_manager.select_for_update()
        found.update({(model, one.pk): one for one in read_of(locked, "pk", wanted)})
    _read_what_they_name(found)
    return found


def _read_what_they_name(found: Mapping[tuple[type[models.Model], Any], models.Model]) -> None:
    """Their names are said of each; what is among these themselves is not read again."""
    known = dict(found)
    named = [
        (record, one, (one.related_model, key))
        for record in found.values()
        for one in _relations(type(record))
        if (key := getattr(record, one.attname)) is not None
    ]
    others: dict[type[models.Model], list[Any]] = {}
    for model, key in {its for _, _, its in named if its not in known}:
        others.setdefault(model, []).append(key)
    for model, keys in others.items():
        known |= {(model, one.pk): one for one in read_of(model._base_manager.all(), "pk", keys)}
    for record, one, its in named:
        if its in known:
            one.set_cached_value(record, known[its])


@cache
def _relations(model: type[models.Model]) -> list[Any]:
    return [one for one in model._meta.concrete_fields if one.is_relation]


def _as_it_was_left(row: Row, record: models.Model | None) -> models.Model | None:
    """The row as it is now. Raises ValidationError when it is not as the act left it."""
    if row.was_deleted:
        if record is not None:
            raise ValidationError(tell("{record} is there again already.", record=record))
        return None
    if record is None:
        raise ValidationError(tell("Something that was written with it is no longer there."))
    if row.is_told_of(record):
        return record
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
    now = getattr(record, column(type(record), name))
    if now == left:
        return True
    return isinstance(record._meta.get_field(name), models.FileField) and str(now) == str(left)


def _label(model: type[models.Model], name: str) -> str:
    return str(getattr(model._meta.get_field(name), "verbose_name", name))


def _refuse_when_resting(records: list[models.Model], made: Set[Key]) -> None:
    counting = [one for one in records if not (isinstance(one, Withdrawable) and one.is_withdrawn)]
    if found := resting_on(counting, besides=made):
        raise ValidationError(
            tell(
                "It cannot be undone, because {why}. Undo or withdraw that first.",
                why=rests_words(found),
            )
        )
