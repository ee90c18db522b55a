"""Many rows put into their table, or changed in it: what is the same of all is prepared once."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from itertools import chain, repeat
from typing import Any

from django.db import DEFAULT_DB_ALIAS, connections, models


def insert_alike(alike: models.Model, each: Mapping[str, Sequence[Any]]) -> None:
    """Rows that are all as `alike` but for these columns; none is told its key, which costs time.

    each: by attribute, what every row has there, as the database takes it.
    """
    database = connections[DEFAULT_DB_ALIAS]
    model = type(alike)._meta
    columns: dict[str, Iterable[Any]] = {}
    for field in model.local_concrete_fields:
        if field.attname in each:
            columns[str(field.column)] = each[field.attname]
        elif not field.primary_key:
            same = field.get_db_prep_save(field.pre_save(alike, add=True), database)
            if same is not None:  # else it is as empty where it is not named
                columns[str(field.column)] = repeat(same)
    rows = list(zip(*columns.values(), strict=False))  # what is the same of all has no end
    name = database.ops.quote_name
    begun = f"INSERT INTO {name(model.db_table)} ({', '.join(map(name, columns))}) VALUES "  # noqa: S608
    places = f"({', '.join(['%s'] * len(columns))})"
    most = database.features.max_query_params
    at_once = most // len(columns) if most else len(rows)
    with database.cursor() as cursor:
        # With one statement for many: what triggers write is secured for each statement anew.
        for begin in range(0, len(rows), at_once):
            part = rows[begin : begin + at_once]
            cursor.execute(
                f"{begun}{', '.join([places] * len(part))}",
                list(chain.from_iterable(part)),
            )


def change_each(rows: Sequence[models.Model], names: Collection[str]) -> None:
    """Rows of one model that are on record, as they are now in these fields; of none nothing."""
    if not names:
        return
    database = connections[DEFAULT_DB_ALIAS]
    known, name = rows[0]._meta, database.ops.quote_name
    of_name = {one.name: one for one in known.local_concrete_fields}
    fields = [of_name[one] for one in names]
    sets = ", ".join(f"{name(str(one.column))} = %s" for one in fields)
    held = [
        [*(one.get_db_prep_save(getattr(row, one.attname), database) for one in fields), row.pk]
        for row in rows
    ]
    key = name(str(known.pk.column))
    with database.cursor() as cursor:
        cursor.executemany(
            f"UPDATE {name(known.db_table)} SET {sets} WHERE {key} = %s",  # noqa: S608
            held,
        )
