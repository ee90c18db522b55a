"""The mark of every table: a number by chance, another one after every write to it."""

import re
from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Any

from django.db import DEFAULT_DB_ALIAS, DatabaseError, connection
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import Model

from breeding.program.frame.memory import forget, only_reads, remembered_while_reading
from breeding.program.unchanged.along import forget_taken_along
from breeding.program.unchanged.blank import asks_which, blank_ones, keep_blank
from breeding.program.unchanged.changes import STANDS
from breeding.program.unchanged.changes import TABLE as NOTES
from breeding.program.unchanged.noted import is_noted, note
from breeding.program.unchanged.tables import daily_tables, every_watched_table

TABLE = "program_marks"
NAME = "marks"
CHANGED = ":changed"  # behind a table's name: the mark that rows which are only added leave alone
# Behind the name of a daily table: its last key of the same moment, on SQLite, and behind CHANGED
# where the notes of changed rows stood; by itself: the snapshot of that moment, on PostgreSQL
# (`come.py`).
COME = ":come"
_READ = {
    "sqlite": "SELECT name, mark, {blank} FROM {marks}",
    # Of those who write at once each adds a row, so that nobody waits: together they are the mark.
    "postgresql": "SELECT name, SUM(mark)::text, {blank} FROM {marks} GROUP BY name",
}
_READ_SOME = {
    "sqlite": f"SELECT name, mark FROM {TABLE} WHERE name IN ({{places}})",  # noqa: S608
    "postgresql": f"SELECT name, SUM(mark)::text FROM {TABLE} "  # noqa: S608
    "WHERE name IN ({places}) GROUP BY name",
}
_WATCHED = {
    "sqlite": "SELECT tbl_name AS watched FROM sqlite_master WHERE type = 'trigger' "
    "AND name LIKE 'mark_on_%' GROUP BY tbl_name "
    "HAVING COUNT(*) = CASE WHEN tbl_name IN ({daily}) THEN 4 ELSE 3 END",
    "postgresql": "SELECT c.relname::text AS watched FROM pg_trigger t "
    "JOIN pg_class c ON c.oid = t.tgrelid "
    "WHERE t.tgname LIKE 'mark_on_%' AND t.tgenabled = 'O' "
    "AND c.relnamespace = current_schema()::regnamespace GROUP BY c.relname "
    "HAVING COUNT(*) = CASE WHEN c.relname IN ({daily}) THEN 4 ELSE 1 END",
}
_QUOTED = re.compile(r'"(\w+)"')
_READ_FROM = re.compile(r'\b(?:FROM|JOIN)\s+(\(|"\w+"|\S+)', re.IGNORECASE)
_DIFFERS_BY_ITSELF = re.compile(
    r"\b(RAND|RANDOM|NOW|\w*CURRENT_\w+|\w+_TIMESTAMP|NEXTVAL|FOR UPDATE|FOR \w+ ?\w* SHARE)\b",
    re.IGNORECASE,
)
_watched: dict[str, frozenset[str]] = {}


def standing(connection: BaseDatabaseWrapper) -> Mapping[str, Any] | None:
    """The marks as this request found them; None where nothing may be read from memory."""
    if connection.alias != DEFAULT_DB_ALIAS or connection.in_atomic_block or not only_reads():
        return None
    if not connection.get_autocommit():
        return None
    return remembered_while_reading(NAME, lambda: _read(connection))


def standing_now(connection: BaseDatabaseWrapper) -> Mapping[str, Any]:
    """The marks at this moment, also within a transaction: one query. Empty: there are none."""
    return _read(connection) if connection.alias == DEFAULT_DB_ALIAS else {}


def are_still(tables: Iterable[str], standing: Mapping[str, Any]) -> bool:
    """Whether none of these tables was written to since these marks were read: one short query."""
    asked = sorted(tables)
    places = ", ".join(["%s"] * len(asked))
    with connection.cursor() as cursor:
        cursor.execute(_READ_SOME[connection.vendor].format(places=places), asked)
        return dict(cursor.fetchall()) == {table: standing.get(table) for table in asked}


def marks_of(
    tables: frozenset[str], standing: Mapping[str, Any]
) -> tuple[tuple[str, Any], ...] | None:
    """What these tables are marked with; None where one of them has no mark yet."""
    if not all(table in standing for table in tables):
        return None
    return tuple((table, standing[table]) for table in sorted(tables))


def _read(connection: BaseDatabaseWrapper) -> Mapping[str, Any]:
    """One query. A database of before the marks has none: everything is asked."""
    try:
        if _name(connection) not in _watched and not connection.in_atomic_block:
            found = _read_at_first(connection)
            if found:
                return found
        return _read_of(connection, TABLE, watched(connection))
    except DatabaseError:
        return {}


def _read_at_first(connection: BaseDatabaseWrapper) -> Mapping[str, Any]:
    """Together with which tables have their triggers, which a process asks once.

    Empty where a table is missing, as before a migration.
    """
    every = every_watched_table()
    of_watched = (
        f"(SELECT * FROM {TABLE} JOIN ({_which_are_watched(connection)}) AS found "  # noqa: S608
        f"ON watched = REPLACE(name, '{CHANGED}', '')) AS marks"
    )
    try:
        marks = _read_of(connection, of_watched, every)
    except DatabaseError:
        return {}
    found = frozenset(name.removesuffix(CHANGED) for name in marks if not name.endswith(COME))
    if not found:
        return {}
    _watched[_name(connection)] = found
    return marks


def _read_of(
    connection: BaseDatabaseWrapper, marks: str, there: frozenset[str]
) -> Mapping[str, Any]:
    """marks: where the rows are read from; there: the tables that count."""
    which = asks_which(connection, there)
    with connection.cursor() as cursor:
        cursor.execute(
            _READ[connection.vendor].format(blank=which, marks=marks)
            + _how_far_they_come(connection, there)
        )
        rows = cursor.fetchall()
    found = [row for row in rows if _table(row[0]) in there]
    read = {table: mark for table, mark, _ in found}
    if which != "NULL":
        keep_blank(connection, read, {table: has_rows for table, _, has_rows in found})
    if read:
        read |= {name: come for name, come, _ in rows if name in (COME, CHANGED + COME)}
    return read


def _how_far_they_come(connection: BaseDatabaseWrapper, there: frozenset[str]) -> str:
    """With the marks how far the tables had come to which rows are added every day."""
    if connection.vendor != "sqlite":
        return f" UNION ALL SELECT '{COME}', pg_current_snapshot()::text, NULL"
    notes = f" UNION ALL SELECT '{CHANGED}{COME}', ({STANDS}), NULL"
    return notes + "".join(
        f" UNION ALL SELECT '{one}{COME}', COALESCE(MAX(id), 0), NULL FROM \"{one}\""  # noqa: S608
        for one in sorted(daily_tables() & there)
    )


def _table(name: str) -> str:
    return name.removesuffix(CHANGED).removesuffix(COME)


def _name(connection: BaseDatabaseWrapper) -> str:
    return str(connection.settings_dict["NAME"])


def _which_are_watched(connection: BaseDatabaseWrapper) -> str:
    daily = ", ".join(f"'{one}'" for one in sorted(daily_tables()))
    return _WATCHED[connection.vendor].format(daily=daily)


def watched(connection: BaseDatabaseWrapper) -> frozenset[str]:
    """The tables that have their triggers, asked once a process."""
    name = _name(connection)
    if name not in _watched:
        with connection.cursor() as cursor:
            cursor.execute(_which_are_watched(connection))
            found = frozenset(str(table) for (table,) in cursor.fetchall())
        if not found:
            return found
        _watched[name] = found
    return _watched[name]


def look_again() -> None:
    """Ask anew which tables have triggers: some were made, or made again."""
    _watched.clear()


@lru_cache(maxsize=4096)
def tables_of(sql: str, known: frozenset[str]) -> frozenset[str] | None:
    """Those that a question reads; None where it may answer otherwise without any write.

    Every name that stands in quotes counts, also one that is only a column's: at worst something
    is asked again that need not be.

    >>> known = frozenset({"a", "b"})
    >>> sorted(tables_of('SELECT "a"."id" FROM "a" JOIN "b" ON "a"."b" = "b"."id"', known))
    ['a', 'b']
    >>> tables_of('SELECT 1 FROM "a" JOIN "c" ON 1', known) is None
    True
    >>> tables_of('SELECT RANDOM() FROM "a"', known) is None
    True
    """
    sources = _READ_FROM.findall(sql)
    if not sources or _DIFFERS_BY_ITSELF.search(sql):
        return None
    if any(source != "(" and source.strip('"') not in known for source in sources):
        return None
    return frozenset(_QUOTED.findall(sql)) & known


def without_rows(models: Iterable[type[Model]]) -> frozenset[type[Model]]:
    """Those of these of which nothing is on record; none where nothing may be told from memory."""
    now = standing(connection)
    if not now:
        return frozenset()
    tables = {model._meta.db_table: model for model in models}
    blank = blank_ones(tables, now, connection)
    note(blank)
    return frozenset(tables[one] for one in blank)


def rests_on(*models: type[Model]) -> None:
    """What is reckoned rests on rows of these, which the page has read before."""
    note(frozenset(model._meta.db_table for model in models))


class Watch:
    """Sees every statement of a connection: after a write the marks are read anew."""

    def __init__(self, connection: BaseDatabaseWrapper) -> None:
        self.connection = connection

    def __call__(self, execute: Any, sql: Any, params: Any, many: bool, context: Any) -> Any:
        text = sql if isinstance(sql, str) else ""
        is_question = text.lstrip("( \n").upper().startswith("SELECT")
        try:
            return execute(sql, params, many, context)
        finally:
            if not is_question:
                forget(NAME)
                if only_reads():  # what it has read by then is of before the marks to come
                    forget_taken_along()
            if is_noted() and TABLE not in text and NOTES not in text:
                self._note(text if is_question else "")

    def _note(self, sql: str) -> None:
        known = _watched.get(_name(self.connection), frozenset())
        note(tables_of(sql, known))
