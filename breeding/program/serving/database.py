"""Whether the database is whole, and of this version of the program; only looks, never writes."""

import sqlite3
from collections.abc import Iterator
from importlib import import_module
from pkgutil import iter_modules

from django.apps import apps
from django.db import DatabaseError, connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

from breeding.words.language import tell

MOST_TOLD = 5
_COLUMNS = {
    "sqlite": "SELECT m.name, c.name FROM sqlite_master m JOIN pragma_table_info(m.name) c "
    "WHERE m.type = 'table'",
    "postgresql": "SELECT table_name, column_name FROM information_schema.columns "
    "WHERE table_schema = ANY (current_schemas(false))",
}


def damage() -> str:
    """What SQLite itself finds wrong with the file; empty for one that is whole or not there yet.

    PostgreSQL looks after its own files.
    """
    if connection.vendor != "sqlite":
        return ""
    try:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA quick_check(1)")
            (said,) = cursor.fetchone()
    except (DatabaseError, sqlite3.DatabaseError) as problem:
        return str(problem)
    return "" if said == "ok" else " ".join(said.split())


def is_of_this_version() -> bool:
    """Whether exactly the steps that this version knows were taken.

    They are known by the names of their files: to read them all, as Django does, costs a start
    0.3 s, and the server some megabytes for as long as it runs.
    """
    return set(MigrationRecorder(connection).applied_migrations()) == set(_steps())


def _steps() -> Iterator[tuple[str, str]]:
    for room in apps.get_app_configs():
        name, _ = MigrationLoader.migrations_module(room.label)
        try:
            files = import_module(str(name)).__path__
        except ModuleNotFoundError:
            continue  # a room that keeps nothing
        yield from (
            (room.label, file.name)
            for file in iter_modules(files)
            if not file.ispkg and file.name[0] not in "_~"
        )


def unknown_migrations() -> list[str]:
    """What a newer version of the program has made of this database, by the names of its steps."""
    if is_of_this_version():
        return []
    loader = MigrationLoader(connection, ignore_no_migrations=True)
    ours = apps.app_configs.keys()
    known = {*loader.disk_migrations, *(loader.replacements or ())}
    for one in loader.disk_migrations.values():
        known.update(one.replaces)
    applied = (loader.applied_migrations or {}).keys() - known
    rooms = {app for app, _ in loader.disk_migrations} | ours
    return sorted(f"{app} {name}" for app, name in applied if app in rooms or _is_kept_here(app))


def _is_kept_here(app: str) -> bool:
    """A whole room that this version does not have, with tables of its own."""
    return any(table.startswith(f"{app}_") for table in connection.introspection.table_names())


def is_behind() -> bool:
    """Whether a step that this version knows has not been taken yet."""
    return not set(_steps()) <= set(MigrationRecorder(connection).applied_migrations())


def missing() -> list[str]:
    """Tables and columns that the program reads and the database does not have."""
    return list(_missing())


def _missing() -> Iterator[str]:
    there = _columns()
    for model in apps.get_models(include_auto_created=True):
        options = model._meta
        if not options.managed or options.proxy:
            continue
        if options.db_table not in there:
            yield tell("the table {table}", table=options.db_table)
            continue
        for field in options.local_concrete_fields:
            if field.column not in there[options.db_table]:
                yield tell(
                    "the column {column} of {table}", column=field.column, table=options.db_table
                )


def _columns() -> dict[str, set[str]]:
    """The columns of every table there is, asked in one go."""
    there: dict[str, set[str]] = {}
    with connection.cursor() as cursor:
        cursor.execute(_COLUMNS[connection.vendor])
        for table, column in cursor.fetchall():
            there.setdefault(table, set()).add(column)
    return there


def some_of(found: list[str]) -> str:
    """The first few, and how many more.

    >>> some_of(["the table a", "the table b"])
    'the table a, the table b'
    >>> some_of([f"t{n}" for n in range(7)])
    't0, t1, t2, t3, t4 and 2 more'
    """
    more = len(found) - MOST_TOLD
    first = ", ".join(found[:MOST_TOLD])
    return tell("{first} and {more} more", first=first, more=more) if more > 0 else first
