"""A copy of the SQLite file of a running program as of one moment, and what is asked of a copy."""

import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from django.db import connection

from breeding.program.backup.problem import BackupError
from breeding.program.backup.tables import Ask
from breeding.words.language import tell

PAGES_A_STEP, PAUSE_SECONDS = 500, 0.002  # two megabytes, then the writers have their turn
BUSY_SECONDS = 20.0


def database_file() -> Path:
    """Where the records of this program are."""
    return Path(str(connection.settings_dict["NAME"]))


def copy(source: Path, target: Path) -> None:
    """SQLite's own online backup, in steps, of the state at the moment in which it begins.

    What is in the -wal file is in the copy, which is one file. The read transaction that is held
    meanwhile keeps that state still, so that no write begins the copy anew; writers wait for
    nothing, since the program's file is in WAL mode.
    """
    if not source.is_file():
        raise BackupError(tell("There is no database file {file} to back up.", file=source))
    with (
        closing(sqlite3.connect(source, timeout=BUSY_SECONDS)) as running,
        closing(sqlite3.connect(target)) as kept,
    ):
        try:
            running.execute("BEGIN")
            running.execute("SELECT COUNT(*) FROM sqlite_master").fetchone()
            running.backup(kept, pages=PAGES_A_STEP, progress=_pause)
            running.rollback()
            kept.execute("PRAGMA journal_mode=DELETE")
        except sqlite3.OperationalError as problem:
            if "disk is full" in str(problem) or "disk I/O" in str(problem):
                raise BackupError(
                    tell("The disk of {place} is full ({why}).", place=target.parent, why=problem)
                ) from problem
            raise BackupError(
                tell("The database cannot be copied: {why}.", why=problem)
            ) from problem
        except sqlite3.DatabaseError as problem:
            raise BackupError(
                tell("The database {file} is damaged: {why}.", file=source, why=problem)
            ) from problem


def _pause(_status: int, _left: int, _all: int) -> None:
    time.sleep(PAUSE_SECONDS)


@contextmanager
def asked(file: Path) -> Iterator[tuple[Ask, dict[str, list[str]]]]:
    """A door for questions to a database file that nobody writes to, and its tables."""
    with closing(sqlite3.connect(file, timeout=BUSY_SECONDS)) as database:
        try:

            def ask(query: str) -> list[tuple[object, ...]]:
                return database.execute(query).fetchall()

            names = ask("SELECT name FROM sqlite_master WHERE type = 'table'")
            tables = {
                str(name): [str(row[1]) for row in ask(f'PRAGMA table_info("{name}")')]
                for (name,) in names
                if not str(name).startswith("sqlite_")
            }
            yield ask, tables
        except sqlite3.DatabaseError as problem:
            raise BackupError(
                tell("The database {file} is damaged: {why}.", file=file.name, why=problem)
            ) from problem


def check(ask: Ask) -> int:
    """How many rows point to rows that are not there. Raises BackupError when it is damaged."""
    found = [str(words) for (words,) in ask("PRAGMA integrity_check(5)")]
    if found != ["ok"]:
        raise BackupError(tell("The database is damaged: {why}.", why="; ".join(found)))
    return len(ask("PRAGMA foreign_key_check"))
