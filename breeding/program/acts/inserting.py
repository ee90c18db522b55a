"""Many rows put into their table, or changed in it: what is the same of all is prepared once."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from django.db import DEFAULT_DB_ALIAS, connections, models


def insert_alike(alike: models.Model, each: Iterable[Mapping[str, Any]]) -> None:
    """Rows that are all as `alike` but for what is said of each; they get no keys."""
    database = connections[DEFAULT_DB_ALIAS]
    model = type(alike)._meta
    fields = [one for one in model.local_concrete_fields if not one.primary_key]
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
    name = database.ops.quote_name
    columns = ", ".join(name(str(one.column)) for one in fields)
    places = f"({', '.join(['%s'] * len(fields))})"
    most = database.features.max_query_params
    at_once = most // len(fields) if most else len(rows)
    with database.cursor() as cursor:
        # With one statement for many: what triggers write is secured for each statement anew.
        for begin in range(0, len(rows), at_once):
            part = rows[begin : begin + at_once]
            cursor.execute(
                f"INSERT INTO {name(model.db_table)} ({columns}) "  # noqa: S608
                f"VALUES {', '.join([places] * len(part))}",
                [value for row in part for value in row],
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
