"""The triggers that renew the mark of a table, made after every migration where they lack."""

from collections.abc import Iterable
from typing import Any

from django.apps import AppConfig
from django.db import connection, connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models.signals import post_migrate
from django.dispatch import receiver

from breeding.program.unchanged import changes
from breeding.program.unchanged.changes import note_of
from breeding.program.unchanged.marks import CHANGED, TABLE, look_again, watched
from breeding.program.unchanged.tables import daily_tables, told_fields, watched_tables

MOST_ROWS = 2000  # of those who wrote at once or one after the other, on PostgreSQL

_ACTS = ("INSERT", "UPDATE", "DELETE")
_NEW = {
    "sqlite": "random()",
    "postgresql": "hashtextextended(gen_random_uuid()::text, 0)",
}
_TOLD = {
    "sqlite": "SELECT tbl_name, sql FROM sqlite_master WHERE type = 'trigger' "
    "AND name LIKE 'mark_on_%'",
    "postgresql": "SELECT c.relname::text, encode(t.tgargs, 'escape') FROM pg_trigger t "
    "JOIN pg_class c ON c.oid = t.tgrelid "
    "WHERE t.tgname LIKE 'mark_on_%' AND c.relnamespace = current_schema()::regnamespace",
}
_IS_OLDER = "age(held.xmin) > age(pg_current_xact_id()::xid)"  # than this transaction
_BEGIN = {
    "sqlite": [
        f"CREATE TABLE IF NOT EXISTS {TABLE} (name TEXT PRIMARY KEY, mark INTEGER NOT NULL) "
        "WITHOUT ROWID",
        changes.MADE["sqlite"],
    ],
    "postgresql": [
        # least: of the keys of rows that the writer has added to a daily table.
        f"CREATE TABLE IF NOT EXISTS {TABLE} "
        "(name text, writer xid8, mark bigint NOT NULL, least bigint, PRIMARY KEY (name, writer))",
        # A table of before has it too; asked first, since to alter one waits for all its readers.
        "DO $$ BEGIN IF NOT EXISTS (SELECT 1 FROM pg_attribute "  # noqa: S608
        f"WHERE attname = 'least' AND attrelid = to_regclass('{TABLE}')) "
        f"THEN ALTER TABLE {TABLE} ADD COLUMN least bigint; END IF; END $$",
        # Each transaction has its own row, so that none waits for another, and writes it once: of
        # many versions each would be looked at again. A row of the same number that is older is
        # one of before a restore: it is renewed.
        "CREATE OR REPLACE FUNCTION program_marks_renew() RETURNS trigger "  # noqa: S608
        "LANGUAGE plpgsql AS $$ "
        "BEGIN INSERT INTO program_marks AS held VALUES (TG_TABLE_NAME, pg_current_xact_id(), "
        "hashtextextended(gen_random_uuid()::text, 0)) "
        f"ON CONFLICT (name, writer) DO UPDATE SET mark = EXCLUDED.mark WHERE {_IS_OLDER}; "
        "IF TG_OP <> 'INSERT' THEN INSERT INTO program_marks AS held "
        "VALUES (TG_TABLE_NAME || ':changed', pg_current_xact_id(), "
        "hashtextextended(gen_random_uuid()::text, 0)) "
        f"ON CONFLICT (name, writer) DO UPDATE SET mark = EXCLUDED.mark WHERE {_IS_OLDER}; END IF; "
        # No row is told of where all are removed at once.
        f"IF TG_OP = 'TRUNCATE' THEN INSERT INTO {changes.TABLE} "
        "VALUES (TG_TABLE_NAME, pg_current_xact_id(), NULL); END IF; "
        "RETURN NULL; END $$",
        changes.MADE["postgresql"],
        # Of the columns that it is given, as each row had them.
        "CREATE OR REPLACE FUNCTION program_changes_note() RETURNS trigger "  # noqa: S608
        "LANGUAGE plpgsql AS $$ "
        f"BEGIN INSERT INTO {changes.TABLE} SELECT TG_TABLE_NAME, pg_current_xact_id(), "
        "(SELECT jsonb_object_agg(key, value) FROM jsonb_each(to_jsonb(gone)) "
        "WHERE key = ANY (TG_ARGV)) FROM gone; "
        "RETURN NULL; END $$",
        "CREATE OR REPLACE FUNCTION program_marks_added() RETURNS trigger "  # noqa: S608
        "LANGUAGE plpgsql AS $$ "
        "BEGIN INSERT INTO program_marks AS held VALUES (TG_TABLE_NAME, pg_current_xact_id(), "
        "hashtextextended(gen_random_uuid()::text, 0), (SELECT MIN(id) FROM added)) "
        "ON CONFLICT (name, writer) DO UPDATE SET mark = EXCLUDED.mark, "
        "least = LEAST(held.least, EXCLUDED.least) "
        f"WHERE {_IS_OLDER} OR held.least IS NULL OR held.least > EXCLUDED.least; "
        "RETURN NULL; END $$",
    ],
}


@receiver(post_migrate, dispatch_uid="marks of tables")
def make_triggers(sender: AppConfig, using: str, **_: Any) -> None:
    """A table that was made, or made again, has its triggers and a mark it never had before."""
    database = connections[using]
    if database.vendor not in _BEGIN:
        return
    tables = watched_tables(sender)
    if not tables:
        return
    look_again()
    with transaction.atomic(using), database.cursor() as cursor:
        for statement in _BEGIN[database.vendor]:
            cursor.execute(statement)
        for table in _without_triggers(database, tables):
            for statement in _statements(database.vendor, table):
                cursor.execute(statement)
        cursor.execute(f"SELECT DISTINCT name FROM {TABLE}")  # noqa: S608
        there = {name for (name,) in cursor.fetchall()}
        for name in {name for table in tables for name in (table, table + CHANGED)} - there:
            for statement in _renewal(database.vendor, name):  # somebody emptied the marks
                cursor.execute(statement)
    look_again()


def _without_triggers(database: BaseDatabaseWrapper, tables: Iterable[str]) -> list[str]:
    """These of the tables that lack a trigger, or have another than they are to have now."""
    with database.cursor() as cursor:
        there = set(tables) & set(database.introspection.table_names(cursor))
        cursor.execute(_TOLD[database.vendor])
        told = set(cursor.fetchall())
    right = {one for one in watched(database) if _tells(database.vendor, one) <= told}
    return sorted(there - right)


def _tells(vendor: str, table: str) -> set[tuple[str, str]]:
    """What `_TOLD` gives of a table whose triggers are as they are to be."""
    if vendor == "sqlite":
        return {(table, made) for made in _made_on_sqlite(table)}
    if table not in daily_tables():
        return set()
    return {(table, "".join(rf"{one.column}\000" for one in told_fields(table)))}


def _statements(vendor: str, table: str) -> list[str]:
    triggers = _on_sqlite(table) if vendor == "sqlite" else _on_postgresql(table)
    noted = [note_of(vendor, table)] if table in daily_tables() else []
    return [*triggers, *_renewal(vendor, table), *_renewal(vendor, table + CHANGED), *noted]


def _renewal(vendor: str, table: str) -> list[str]:
    if vendor == "sqlite":
        return _renew_on_sqlite(table)
    return [
        f"INSERT INTO {TABLE} VALUES ('{table}', pg_current_xact_id(), {_NEW[vendor]}) "  # noqa: S608
        "ON CONFLICT (name, writer) DO UPDATE SET mark = EXCLUDED.mark",
    ]


def _on_postgresql(table: str) -> list[str]:
    is_daily = table in daily_tables()
    acts = "UPDATE OR DELETE OR TRUNCATE" if is_daily else "INSERT OR UPDATE OR DELETE OR TRUNCATE"
    every_act = (
        f'CREATE OR REPLACE TRIGGER mark_on_write AFTER {acts} ON "{table}" '
        "FOR EACH STATEMENT EXECUTE FUNCTION program_marks_renew()"
    )
    if not is_daily:
        return [every_act]
    added = (
        f'CREATE OR REPLACE TRIGGER mark_on_added AFTER INSERT ON "{table}" '
        "REFERENCING NEW TABLE AS added "
        "FOR EACH STATEMENT EXECUTE FUNCTION program_marks_added()"
    )
    columns = ", ".join(f"'{one.column}'" for one in told_fields(table))
    noted = [
        f'CREATE OR REPLACE TRIGGER mark_on_{name} AFTER {act} ON "{table}" '
        "REFERENCING OLD TABLE AS gone "
        f"FOR EACH STATEMENT EXECUTE FUNCTION program_changes_note({columns})"
        for name, act in (("changed", "UPDATE"), ("removed", "DELETE"))
    ]
    return [every_act, added, *noted]


def _on_sqlite(table: str) -> list[str]:
    made = _made_on_sqlite(table)
    dropped = [f"DROP TRIGGER IF EXISTS {one.split()[2]}" for one in made]
    return [*dropped, *made]


def _made_on_sqlite(table: str) -> list[str]:
    made = {act: (f'{act} ON "{table}"', _renewed_by(act, table)) for act in _ACTS}
    if table in daily_tables():
        # A row that is put back with the key it had does not stand after the last one.
        made["PUT_BACK"] = (
            f'INSERT ON "{table}" WHEN NEW.id < (SELECT MAX(id) FROM "{table}")',  # noqa: S608
            [*_renew_on_sqlite(table + CHANGED), note_of("sqlite", table, _told("NEW", table))],
        )
    return [
        f'CREATE TRIGGER "mark_on_{name.lower()}_{table}" AFTER {when} '
        f"BEGIN {'; '.join(statements)}; END"
        for name, (when, statements) in made.items()
    ]


def _renewed_by(act: str, table: str) -> list[str]:
    """What stood there before is as it was after an insert; what rests on it may go on."""
    if act == "INSERT":
        return _renew_on_sqlite(table)
    renewed = [*_renew_on_sqlite(table), *_renew_on_sqlite(table + CHANGED)]
    is_daily = table in daily_tables()
    return [*renewed, note_of("sqlite", table, _told("OLD", table))] if is_daily else renewed


def _told(which: str, table: str) -> str:
    pairs = (f"'{one.column}', {which}.\"{one.column}\"" for one in told_fields(table))
    return f"json_object({', '.join(pairs)})"


def _renew_on_sqlite(table: str) -> list[str]:
    """Also where somebody emptied the marks. No upsert: how a statement that fires a trigger meets
    a conflict (INSERT OR IGNORE) would count in here too."""
    return [
        f"UPDATE {TABLE} SET mark = random() WHERE name = '{table}'",  # noqa: S608
        # changes(): of the statement before it, in a trigger too; to look for the row takes longer.
        f"INSERT INTO {TABLE} SELECT '{table}', random() WHERE changes() = 0",
    ]


def put_together(_now: Any = None) -> None:
    """Many rows of marks become one for each table, and what was noted of changed rows goes; once
    in a while."""
    if connection.vendor != "postgresql":
        changes.put_away_old()
        return
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(
            f"SELECT (SELECT COUNT(*) FROM {TABLE}), (SELECT COUNT(*) FROM {changes.TABLE})"  # noqa: S608
        )
        marks, notes = cursor.fetchone()
        if marks < MOST_ROWS and notes < MOST_ROWS:
            return
        cursor.execute(f"DELETE FROM {changes.TABLE}")  # noqa: S608
        for table in sorted(daily_tables()):
            cursor.execute(note_of("postgresql", table))
        cursor.execute(
            # No least key: "changed" is new as well, so that all is asked again.
            f"WITH gone AS (DELETE FROM {TABLE} RETURNING name) "  # noqa: S608
            f"INSERT INTO {TABLE} SELECT name, pg_current_xact_id(), {_NEW['postgresql']} "
            "FROM gone GROUP BY name"
        )
