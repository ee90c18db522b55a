"""Which rows of daily tables were changed or removed, and what was told of them before.

Triggers note each such row (`triggers.py`): its key, and whom it was about. So whoever keeps an
answer hears whom it is about when a sighting is undone, as when one is added.
"""

import datetime
import json
from collections.abc import Mapping
from typing import Any

from django.db import connection, models

from breeding.program.frame.memory import remembered_while_reading
from breeding.program.unchanged.along import take_along
from breeding.program.unchanged.tables import daily_tables, told_fields

TABLE = "program_changes"
ASKED = "changed since"  # by where the notes stood, as this request has asked since it wrote
MOST_READ = 1000  # notes; after more of them everything is renewed
MOST_KEPT = 4 * MOST_READ
take_along(ASKED, None)
Before = Mapping[str, Any]  # by the names of `told_when_changed`, and "id"
_Notes = Mapping[str, tuple[Before, ...] | None]  # by table; None: rows of which nothing is told

MADE = {
    # mark: so that a note of the same number, after a database was put back, is not taken for it.
    "sqlite": f"CREATE TABLE IF NOT EXISTS {TABLE} "
    "(id INTEGER PRIMARY KEY, name TEXT NOT NULL, told TEXT, mark INTEGER NOT NULL)",
    "postgresql": f"CREATE TABLE IF NOT EXISTS {TABLE} (name text NOT NULL, writer xid8 NOT NULL, "
    "told jsonb)",
}
_NOTED = {
    "sqlite": "INSERT INTO {notes} (name, told, mark) VALUES ('{table}', {told}, random())",
    "postgresql": "INSERT INTO {notes} VALUES ('{table}', pg_current_xact_id(), {told})",
}
# On PostgreSQL a snapshot says it; here the newest note does.
STANDS = f"SELECT id || ' ' || mark FROM {TABLE} ORDER BY id DESC LIMIT 1"  # noqa: S608
_SINCE = {
    "sqlite": f"SELECT name, told, id || ' ' || mark FROM {TABLE} "  # noqa: S608
    "WHERE id >= CAST(%s AS INTEGER) ORDER BY id LIMIT %s",
    "postgresql": f"SELECT name, told::text, NULL FROM {TABLE} "  # noqa: S608
    "WHERE NOT pg_visible_in_snapshot(writer, %s::pg_snapshot) LIMIT %s",
}


def note_of(vendor: str, table: str, told: str = "NULL") -> str:
    """A statement that notes a row of this table; NULL: nobody knows which rows are others."""
    return _NOTED[vendor].format(notes=TABLE, table=table, told=told)


def changed_since(table: str, stood: str, now: Any) -> tuple[Before, ...] | None:
    """Every row that was changed or removed since the notes stood there, as it was before; None
    where that cannot be told, or there are too many. now: where they stand, as this request knows.
    """
    held: dict[Any, _Notes | None] = remembered_while_reading(ASKED, dict)
    if (stood, now) not in held:
        held[stood, now] = _notes_since(stood)
    notes = held[stood, now]
    return None if notes is None else notes.get(table)


def _notes_since(stood: str) -> _Notes | None:
    is_here = connection.vendor == "sqlite"
    with connection.cursor() as cursor:
        since = stood.split(" ")[0] if is_here else stood
        cursor.execute(_SINCE[connection.vendor], [since, MOST_READ + 1])
        rows = cursor.fetchall()
    if len(rows) > MOST_READ or (is_here and (not rows or rows.pop(0)[2] != stood)):
        return None
    found: dict[str, tuple[Before, ...] | None] = {}
    for table, told, _ in rows:
        before = None if told is None else _as_read(table, json.loads(told))
        others = found.get(table, ())
        found[table] = None if before is None or others is None else (*others, before)
    return found


def _as_read(table: str, told: Mapping[str, Any]) -> Before | None:
    """With the values that the fields of its model have; None where not all of them are told."""
    if table not in daily_tables():
        return None
    fields = told_fields(table)
    if any(str(one.column) not in told for one in fields):
        return None
    return {one.attname: _value(one, told[str(one.column)]) for one in fields}


def _value(field: "models.Field[Any, Any]", told: Any) -> Any:
    if told is None or not isinstance(field, models.DateField):
        return told
    if not isinstance(field, models.DateTimeField):
        return datetime.date.fromisoformat(told)
    moment = datetime.datetime.fromisoformat(told)
    return moment if moment.tzinfo else moment.replace(tzinfo=datetime.UTC)


def put_away_old() -> None:
    """Notes that nobody is to read any more, on SQLite (on PostgreSQL they go with the marks)."""
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT MIN(id), MAX(id) FROM {TABLE}")  # noqa: S608
        least, newest = cursor.fetchone()
        if newest is not None and newest - least >= 2 * MOST_KEPT:
            cursor.execute(f"DELETE FROM {TABLE} WHERE id < %s", [newest - MOST_KEPT])  # noqa: S608
