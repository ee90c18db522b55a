"""Rows put into their table in few statements, the same for all of them prepared once."""

from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from itertools import chain
from typing import Any

from django.db import DEFAULT_DB_ALIAS, connections, models
from django.db.backends.base.base import BaseDatabaseWrapper


def insert(rows: Sequence[models.Model]) -> None:
    """New rows of one model, which get their keys: what `bulk_create` does, in half of its time.

    Django weighs for each value of each row whether it is one, or an expression of the database;
    these are values. Of a model of which the database tells more than the key, it does it itself.
    """
    model, database = type(rows[0]), _database()
    fields, key = _of_plain_values(model), model._meta.auto_field
    if fields is None or key is None or not database.features.can_return_rows_from_bulk_insert:
        model._base_manager.bulk_create(rows)
        return
    relations = [one for one in fields if one.is_relation]
    for row in rows:
        if any(one.is_cached(row) and getattr(row, one.attname) is None for one in relations):
            # What was written since the row was made to point to it has its key by now.
            row._prepare_related_fields_for_save(operation_name="bulk_create")  # type: ignore[attr-defined]
    every = [
        [
            None
            if (value := one.pre_save(row, add=True)) is None
            else one.get_db_prep_save(value, database)
            for one in fields
        ]
        for row in rows
    ]
    most = database.features.max_query_params or len(fields) * len(rows)
    at_once = max(1, most // len(fields))
    into, one_row = _into(model, fields, database), _placeholders(fields)
    returning = f"RETURNING {database.ops.quote_name(str(key.column))}"
    keys: list[Any] = []
    with database.cursor() as cursor:
        for begin in range(0, len(every), at_once):
            part = every[begin : begin + at_once]
            values = ", ".join([one_row] * len(part))
            cursor.execute(f"{into} VALUES {values} {returning}", list(chain.from_iterable(part)))
            keys += [found for (found,) in cursor.fetchall()]
    for row, its_key in zip(rows, keys, strict=True):
        setattr(row, key.attname, its_key)
        row._state.adding, row._state.db = False, database.alias


def insert_alike(alike: models.Model, each: Iterable[Mapping[str, Any]]) -> None:
    """Rows that are all as `alike` but for what is said of each; they get no keys."""
    model, database = type(alike), _database()
    fields = _fields(model)
    same = {
        one.attname: one.get_db_prep_save(one.pre_save(alike, add=True), database) for one in fields
    }
    rows = [
        [
            one.get_db_prep_save(its[one.attname], database)
            if one.attname in its
            else same[one.attname]
            for one in fields
        ]
        for its in each
    ]
    with database.cursor() as cursor:
        cursor.executemany(f"{_into(model, fields, database)} VALUES {_placeholders(fields)}", rows)


def _database() -> BaseDatabaseWrapper:
    """Itself, not the stand-in for it, which looks up of which thread it is at every question."""
    return connections[DEFAULT_DB_ALIAS]


@cache
def _of_plain_values(model: type[models.Model]) -> list[Any] | None:
    """The fields but for the key; None where a database makes more of one than a value."""
    fields = _fields(model)
    is_plain = model._meta.db_returning_fields == [model._meta.auto_field] and not any(
        hasattr(one, "get_placeholder") for one in fields
    )
    return fields if is_plain else None


def _fields(model: type[models.Model]) -> list[Any]:
    return [one for one in model._meta.local_concrete_fields if not one.primary_key]


def _into(model: type[models.Model], fields: Sequence[Any], database: BaseDatabaseWrapper) -> str:
    name = database.ops.quote_name
    columns = ", ".join(name(str(one.column)) for one in fields)
    return f"INSERT INTO {name(model._meta.db_table)} ({columns})"


def _placeholders(fields: Sequence[Any]) -> str:
    return f"({', '.join(['%s'] * len(fields))})"
