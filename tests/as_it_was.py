"""The tests' database as it stood before the first of them, given back after each that commits.

Django empties every table instead, and then all that comes with the program is made anew: kinds of
content, permissions, the index of what can be found, species. That takes longer than most tests.
"""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from django.db import connection, transaction

_TABLES = "SELECT quote_ident(tablename) FROM pg_tables WHERE schemaname = current_schema()"
_SEQUENCES = (
    "SELECT quote_ident(sequencename), coalesce(last_value, start_value), last_value IS NOT NULL "
    "FROM pg_sequences WHERE schemaname = current_schema()"
)
_EMPTY = f"""
DO $$ DECLARE one text; filled bool; BEGIN
    FOR one IN {_TABLES} LOOP
        EXECUTE 'SELECT EXISTS (SELECT FROM ' || one || ')' INTO filled;
        IF filled THEN EXECUTE 'DELETE FROM ' || one; END IF;
    END LOOP;
END $$
"""
_migrated: list[sqlite3.Connection] = []


def laid_aside() -> Callable[[], None] | None:
    """Keeps what is in the database now; the answer gives it back. None: that is not allowed."""
    if connection.vendor == "sqlite":
        kept = _copied()
        return lambda: kept.backup(connection.connection)
    with connection.cursor() as cursor:
        cursor.execute("SELECT usesuper FROM pg_user WHERE usename = current_user")
        return _laid_aside_of_postgresql() if cursor.fetchone() == (True,) else None


def _copied() -> sqlite3.Connection:
    connection.ensure_connection()
    kept = sqlite3.connect(":memory:", check_same_thread=False)
    connection.connection.backup(kept)
    return kept


def _laid_aside_of_postgresql() -> Callable[[], None]:
    rows: dict[str, bytes] = {}
    with connection.cursor() as cursor:
        cursor.execute(_TABLES)
        for (table,) in cursor.fetchall():
            with cursor.copy(f"COPY {table} TO STDOUT") as out:
                rows[table] = b"".join(out)
        cursor.execute(_SEQUENCES)
        sequences = cursor.fetchall()

    def give_back() -> None:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SET LOCAL session_replication_role = replica")  # no trigger, any order
            cursor.execute(_EMPTY)
            for table, content in rows.items():
                if content:
                    with cursor.copy(f"COPY {table} FROM STDIN") as into:
                        into.write(content)
            cursor.executemany("SELECT setval(%s::regclass, %s, %s)", sequences)

    return give_back


def keep_migrated() -> None:
    """The records as migrations leave them, for homes of programs with a process of their own."""
    if connection.vendor == "sqlite":
        _migrated.append(_copied())


def migrate(home: Path) -> None:
    """A new home has what migrations leave, if it is kept here; else its own start migrates it."""
    file = home / "rayward.sqlite3"
    if _migrated and not file.exists():
        home.mkdir(mode=0o700, exist_ok=True)
        with closing(sqlite3.connect(file)) as records:
            _migrated[0].backup(records)
        file.chmod(0o600)
