"""The index made after a migration, when it is not there or is of other statements; and looked at.

Before tables are changed everything is taken away that would stand in the way.
"""

import logging
from collections.abc import Callable, Iterator
from typing import Any

from django.db import DatabaseError, connection, transaction

from breeding.finding.index import written
from breeding.finding.models import Built
from breeding.program.backup.postgres import MADE_ANEW
from breeding.program.found import Found, all_found

log = logging.getLogger(__name__)
_THERE = {
    "sqlite": "SELECT name, type FROM sqlite_master WHERE name LIKE 'anew!_%' ESCAPE '!'",
    "postgresql": "SELECT relname, 'view' FROM pg_class WHERE relkind = 'v' AND relname LIKE "
    "'anew!_%' ESCAPE '!' AND relnamespace = to_regnamespace(current_schema()) UNION ALL "
    "SELECT t.tgname, 'trigger' FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid WHERE "
    "t.tgname LIKE 'anew!_%' ESCAPE '!' AND c.relnamespace = to_regnamespace(current_schema())",
}


def before_migrating(plan: list[Any] | None = None, **_: Any) -> None:
    """Tables that are changed are changed without anything that looks at them."""
    if plan:
        with transaction.atomic():
            _take_away()


def after_migrating(**_: Any) -> None:
    """Make the index where it is not there, or not as it is wanted now."""
    tables = connection.introspection.table_names()
    wanted = {Built._meta.db_table, *(one.model._meta.db_table for one in all_found())}
    if not wanted <= set(tables) or is_whole():
        return  # some rooms are not migrated yet: it is made with the last of them
    with transaction.atomic():
        make()


def is_whole() -> bool:
    """Whether all of it is there, made from the statements of today; not whether it is right."""
    built = Built.objects.filter(pk=1).first()
    if built is None or built.signature != written.signature(_statements(built.engine)):
        return False
    wanted = sum(
        statement.startswith(("CREATE VIEW", "CREATE TRIGGER"))
        for statement in _statements(built.engine)
    )
    may_be_better = built.engine == Built.Engine.PLAIN and _best_engine() != Built.Engine.PLAIN
    return len(_there()) == wanted and not may_be_better


def make() -> None:
    """All of it anew, filled with everything on record. Cost: as many rows as texts on record."""
    _take_away()
    engine = _best_engine()
    for found in all_found():
        for statement in _of_kind(found):
            _run(statement)
    fill_anew()
    for statement in _of_words(engine):
        _run(statement)
    if engine == Built.Engine.FTS5:
        _run(f"INSERT INTO {written.WORDS}({written.WORDS}) VALUES ('rebuild')")
    facts = {"signature": written.signature(_statements(engine)), "engine": engine}
    Built.objects.update_or_create(pk=1, defaults=facts)


def fill_anew() -> None:
    """Empty the index, and write down what it is to hold."""
    _run(f"DELETE FROM {written.TABLE}")
    for found in all_found():
        _run(written.fill(found))


def differences() -> dict[str, tuple[int, int]]:
    """By kind: how much is lacking in the index and how much is too much; only what differs."""
    found: dict[str, tuple[int, int]] = {}
    with connection.cursor() as cursor:
        for one in all_found():
            cursor.execute(written.differing(one))
            lacking, too_much = cursor.fetchone()
            if lacking or too_much:
                found[one.kind] = (lacking, too_much)
    return found


def forget_what_was_erased(*_: Any) -> None:
    """The triggers have taken the words out; SQLite's own index only marks them as gone.

    It is written together anew, so that they stand in no page of it that is in use.
    """
    built = Built.objects.filter(pk=1).first()
    if built is not None and built.engine == Built.Engine.FTS5:
        _run(f"INSERT INTO {written.WORDS}({written.WORDS}) VALUES ('optimize')")


# -------------------------------------------------------------------------------- how it is made


def _statements(engine: str) -> Iterator[str]:
    for found in all_found():
        yield from _of_kind(found)
    yield from _of_words(engine)


def _of_kind(found: Found) -> Iterator[str]:
    return written.sqlite(found) if _is_sqlite() else written.postgres(found)


def _of_words(engine: str) -> Iterator[str]:
    if engine == Built.Engine.FTS5:
        yield from written.sqlite_words()
    elif engine == Built.Engine.TRIGRAM:
        yield from written.postgres_words()


def _best_engine() -> Built.Engine:
    """What this database can do, and what the program may make it do."""
    if _is_sqlite():
        can = _works("CREATE VIRTUAL TABLE anew_try USING fts5(t, tokenize='trigram')",
                     "DROP TABLE anew_try")  # fmt: skip
        return Built.Engine.FTS5 if can else Built.Engine.PLAIN
    can = _works("CREATE EXTENSION IF NOT EXISTS pg_trgm")
    return Built.Engine.TRIGRAM if can else Built.Engine.PLAIN


def _works(*statements: str) -> bool:
    try:
        with transaction.atomic():
            for statement in statements:
                _run(statement)
    except DatabaseError as problem:
        log.info("Finding does without an index by three letters: %s", problem)
        return False
    return True


def _is_sqlite() -> bool:
    return connection.vendor == "sqlite"


def _there() -> list[tuple[str, str]]:
    with connection.cursor() as cursor:
        cursor.execute(_THERE[connection.vendor])
        return [(str(name), str(sort)) for name, sort in cursor.fetchall()]


def _take_away() -> None:
    how: Callable[[], Iterator[str]] = _away_sqlite if _is_sqlite() else _away_postgres
    for statement in list(how()):
        _run(statement)


def _away_sqlite() -> Iterator[str]:
    for name, sort in sorted(_there(), key=lambda one: one[1]):  # triggers before views
        yield f"DROP {sort.upper()} {name}"
    yield f"DROP TABLE IF EXISTS {written.WORDS}"


def _away_postgres() -> Iterator[str]:
    """A view goes with all that rests on it, a function with its triggers."""
    names = {name for name, sort in _there() if sort == "view"}
    for name in sorted(names):
        yield f"DROP VIEW {name} CASCADE"
        yield f"DROP FUNCTION IF EXISTS {name}() CASCADE"
    for column in ("name", "words"):
        yield f"DROP INDEX IF EXISTS {MADE_ANEW}{column}"


def _run(statement: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute(statement)
