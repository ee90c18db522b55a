"""Rows of an act put back: many of one kind that follow each other in few statements."""

import datetime
from collections.abc import Callable, Iterator, Mapping, Sequence
from copy import copy
from dataclasses import dataclass
from functools import cache
from itertools import groupby
from typing import Any

from django.db import IntegrityError, models, transaction

from breeding.program.acts.mending import kind_of, kind_of_model
from breeding.program.acts.resting import Key, keys_naming, naming
from breeding.program.acts.together import change_together, delete_together
from breeding.program.acts.written import Row, column
from breeding.program.models import Person, Withdrawable
from breeding.program.problems import constraints
from breeding.program.services import withdraw, withdraw_together
from breeding.words.language import message
from breeding.words.stored import stored

REASON = stored(message("undone by who wrote it"))


@dataclass(frozen=True)
class Undoing:
    """Who undoes an act and when, and the keys of all that it had made."""

    by: Person
    now: datetime.datetime
    made: set[Key]


# A row that was written, and its record as it is now: None where the act deleted it.
Written = tuple[Row, models.Model | None]
# Puts them back and says so, where together they become what each would alone.
Together = Callable[[Sequence[Written], Undoing], bool]


def all_put_back(written: Sequence[Written], undoing: Undoing) -> Iterator[models.Model]:
    """Each as it stood before, in their order; but of one kind that were made and changed in turn
    those first that were made, where these are withdrawn: that makes room for the others, and
    takes none from them."""
    for _, some in groupby(written, key=_in_turn):
        run = list(some)
        done: dict[Any, models.Model] = {}
        for (_, together), alike in groupby(sorted(run, key=_was_changed), key=_way):
            done |= _alike_put_back(list(alike), together, undoing)
        yield from (done[row.pk] for row, _ in run)


def _alike_put_back(
    run: Sequence[Written], together: Together, undoing: Undoing
) -> dict[Any, models.Model]:
    """By their keys."""
    if together(run, undoing):
        done = {row.pk: record for row, record in run if record is not None}
    else:
        done = {row.pk: _put_back(row, record, undoing) for row, record in run}
    for record in done.values():
        record._state.fields_cache.clear()  # others may have been put back since
    return done


def _in_turn(written: Written) -> tuple[type[models.Model], Together]:
    row, record = written
    return (row.model, _withdrawn) if isinstance(record, Withdrawable) else _way(written)


def _was_changed(written: Written) -> bool:
    return not written[0].was_made


def _way(written: Written) -> tuple[type[models.Model], Together]:
    row, record = written
    if record is None:
        return row.model, _never
    return row.model, _taken_out(row.model) if row.was_made else _as_before


@cache
def _taken_out(model: type[models.Model]) -> Together:
    if issubclass(model, Withdrawable):
        return _withdrawn
    return _never if _is_withdrawn_beside(model) else _deleted


def _is_withdrawn_beside(model: type[models.Model]) -> bool:
    """Whether its records stay as they are, and a row beside says that they hold no more."""
    return not issubclass(model, Withdrawable) and kind_of_model(model) is not None


def _never(run: Sequence[Written], undoing: Undoing) -> bool:
    return False


def _withdrawn(run: Sequence[Written], undoing: Undoing) -> bool:
    counting = [
        record for _, record in run if isinstance(record, Withdrawable) and not record.is_withdrawn
    ]
    withdraw_together(counting, by=undoing.by, now=undoing.now, reason=REASON)
    return True


def _as_before(run: Sequence[Written], undoing: Undoing) -> bool:
    """Not where a model has a `save` of its own; nor where a rule is broken, which is then named
    with its row."""
    model = run[0][0].model
    names = {name for row, _ in run for name in row.before}
    if model.save is not models.Model.save:
        return False
    changes = []
    for row, record in run:
        if record is not None:
            before = copy(record)
            _fill(record, row.before)
            changes.append((before, record))
    try:
        with transaction.atomic():
            change_together(changes, names)
    except IntegrityError:
        return False
    return True


def _deleted(run: Sequence[Written], undoing: Undoing) -> bool:
    """Not where one names another of them, nor what more than keys names."""
    records = [record for _, record in run if record is not None]
    model = type(records[0])
    relations = [one for one in model._meta.get_fields(include_hidden=True) if _is_reverse(one)]
    if model._meta.many_to_many or any(one.hidden for one in relations):
        return False
    parts = _parts_of_made(records, undoing.made)
    alone = [one for one in records if one.pk not in parts]
    keys, named = {one.pk for one in alone}, set()
    for other, pk, key in keys_naming(alone):
        if other is model and pk in keys:
            return False
        named.add(key)
    gone = [one for one in alone if one.pk not in named]
    delete_together(gone)
    for one in gone:
        one.pk = None
    return True


def _is_reverse(one: Any) -> bool:
    return bool(one.auto_created and not one.concrete)


def _put_back(row: Row, record: models.Model | None, undoing: Undoing) -> models.Model:
    if record is None:
        record = row.model(pk=row.pk)
        _fill(record, row.before)
        with constraints.named(record):
            record.save(force_insert=True)
        return record
    if row.was_made:
        return _take_out(record, undoing)
    _fill(record, row.before)
    with constraints.named(record):
        record.save()
    return record


def _fill(record: models.Model, values: Mapping[str, Any]) -> None:
    for name, value in values.items():
        setattr(record, column(type(record), name), value)


def _take_out(record: models.Model, undoing: Undoing) -> models.Model:
    if isinstance(record, Withdrawable):
        if record.is_withdrawn:
            return record
        return withdraw(record, by=undoing.by, now=undoing.now, reason=REASON)
    if (kind := kind_of(record)) is not None:
        kind.act(record, {"reason": REASON}, by=undoing.by, now=undoing.now)
        return record
    if not _parts_of_made([record], undoing.made) and not any(naming([record])):
        record.delete()  # else what is withdrawn still names it, and stays readable
    return record


def _parts_of_made(records: Sequence[models.Model], made: set[Key]) -> set[Any]:
    """The keys of these that are a part of a record that is withdrawn as a whole: they stay with
    it, so that it stays readable."""
    named = [(one.pk, whole) for one in records for whole in _named_by(one) if whole in made]
    staying = _staying({whole for _, whole in named})
    return {pk for pk, whole in named if whole in staying}


def _named_by(record: models.Model) -> list[Key]:
    return [(model, getattr(record, name)) for name, model in _relations(type(record))]


@cache
def _relations(model: type[models.Model]) -> list[tuple[str, type[models.Model]]]:
    return [
        (one.attname, one.related_model)
        for one in model._meta.concrete_fields
        if one.related_model is not None
    ]


def _staying(made: set[Key]) -> set[Key]:
    """Those of what was made that stay readable: withdrawn themselves, or named by what is."""
    found: set[Key] = {
        one for one in made if issubclass(one[0], Withdrawable) or _is_withdrawn_beside(one[0])
    }
    for other in naming((model(pk=pk) for model, pk in made - found), among=Withdrawable):
        found |= made.intersection(_named_by(other))
    return found
