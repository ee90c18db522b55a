"""The mark of every table: a number by chance, another one after every write to it."""

import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from functools import lru_cache
from typing import Any

from django.db import DEFAULT_DB_ALIAS, DatabaseError
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import Model

from breeding.program.frame.memory import forget, only_reads, remembered_while_reading
from breeding.program.unchanged.blank import asks_which, keep_blank
from breeding.program.unchanged.tables import every_watched_table

TABLE = "program_marks"
FUNCTION = "program_marks_renew"  # which PostgreSQL's triggers call
NAME = "marks"
CHANGED = ":changed"  # behind a table's name: the mark that rows which are only added leave alone
CAME = ":came"  # behind a table's name, on SQLite: its last key at the moment of its mark
_READ = {
    "sqlite": "SELECT name, mark, {blank}, {came} FROM {marks}",
    # Of those who write at once each adds a row, so that nobody waits: together they are the mark.
    "postgresql": "SELECT name, SUM(mark), {blank}, NULL FROM {marks} GROUP BY name",
}
_WATCHED = {
    "sqlite": "SELECT tbl_name AS watched FROM sqlite_master WHERE type = 'trigger' "
    "AND name LIKE 'mark_on_%' GROUP BY tbl_name HAVING COUNT(*) = 3",
    "postgresql": "SELECT c.relname::text AS watched FROM pg_trigger t "
    "JOIN pg_class c ON c.oid = t.tgrelid "
    "WHERE t.tgname = 'mark_on_write' AND t.tgenabled = 'O' "
    "AND c.relnamespace = current_schema()::regnamespace",
}
_QUOTED = re.compile(r'"(\w+)"')
_READ_FROM = re.compile(r'\b(?:FROM|JOIN)\s+(\(|"\w+"|\S+)', re.IGNORECASE)
_DIFFERS_BY_ITSELF = re.compile(
    r"\b(RAND|RANDOM|NOW|\w*CURRENT_\w+|\w+_TIMESTAMP|NEXTVAL|FOR UPDATE|FOR \w+ ?\w* SHARE)\b",
    re.IGNORECASE,
)
_watched: dict[str, frozenset[str]] = {}
_growing: set[str] = set()
_noted: ContextVar[set[str] | None] = ContextVar("tables_read", default=None)


def grow_daily(*models: type[Model]) -> None:
    """Rows are added to these every day: how far they have come is read along with their marks,
    where that costs nothing (SQLite finds the last key without looking at the rows).
    """
    _growing.update(model._meta.db_table for model in models)


def came_with_marks(
    tables: Iterable[str], now: Mapping[str, Any]
) -> dict[str, tuple[int, int]] | None:
    """The last key of each of these at the moment of the marks; None where it was not read."""
    found = {table: now.get(table + CAME) for table in tables}
    if not found or None in found.values():
        return None
    return {table: (int(key or 0), 0) for table, key in found.items()}


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
        f"(SELECT * FROM {TABLE} JOIN ({_WATCHED[connection.vendor]}) AS found "  # noqa: S608
        f"ON watched = REPLACE(name, '{CHANGED}', '')) AS marks"
    )
    try:
        marks = _read_of(connection, of_watched, every)
    except DatabaseError:
        return {}
    if marks:
        _watched[_name(connection)] = frozenset(
            name.removesuffix(CHANGED) for name in marks if not name.endswith(CAME)
        )
    return marks


def _read_of(
    connection: BaseDatabaseWrapper, marks: str, there: frozenset[str]
) -> Mapping[str, Any]:
    """marks: where the rows are read from; there: the tables that count."""
    which, came = asks_which(connection, there), _asks_how_far(there)
    with connection.cursor() as cursor:
        cursor.execute(_READ[connection.vendor].format(blank=which, came=came, marks=marks))
        found = [row for row in cursor.fetchall() if row[0].removesuffix(CHANGED) in there]
    read = {table: mark for table, mark, *_ in found}
    if which != "NULL":
        keep_blank(connection, read, {table: has_rows for table, _, has_rows, _ in found})
    return read | {table + CAME: key for table, *_, key in found if key is not None}


def _asks_how_far(there: frozenset[str]) -> str:
    """A column with the last key of the table whose mark stands in the row; NULL: not asked."""
    each = (
        f"WHEN '{one}' THEN (SELECT COALESCE(MAX(id), 0) FROM \"{one}\")"  # noqa: S608
        for one in sorted(_growing & there)
    )
    return f"CASE name {cases} END" if (cases := " ".join(each)) else "NULL"


def _name(connection: BaseDatabaseWrapper) -> str:
    return str(connection.settings_dict["NAME"])


def watched(connection: BaseDatabaseWrapper) -> frozenset[str]:
    """The tables that have their triggers, asked once a process."""
    name = _name(connection)
    if name not in _watched:
        with connection.cursor() as cursor:
            cursor.execute(_WATCHED[connection.vendor])
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


@contextmanager
def noting() -> Iterator[set[str]]:
    """Which tables are read meanwhile; "" among them where that cannot be said."""
    found: set[str] = set()
    token = _noted.set(found)
    try:
        yield found
    finally:
        _noted.reset(token)


def note(tables: frozenset[str] | None) -> None:
    noted = _noted.get()
    if noted is not None:
        noted.update({""} if tables is None else tables)


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
            if _noted.get() is not None and TABLE not in text:
                self._note(text if is_question else "")

    def _note(self, sql: str) -> None:
        known = _watched.get(_name(self.connection), frozenset())
        note(tables_of(sql, known))
