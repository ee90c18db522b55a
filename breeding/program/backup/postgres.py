"""PostgreSQL's own tools: a dump as of one moment, its list, and a whole database put back."""

import os
import re
import shutil
import subprocess
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

from django.db import connection

from breeding.home_swap import TOKEN_TABLE
from breeding.program.backup.problem import BackupError
from breeding.program.backup.tables import Ask

LOCKED_SECONDS = 20  # somebody who writes for longer than this is to be stopped first
MADE_ANEW = "anew_"  # how views, triggers and indexes begin that are made again after a start
HEAD_LINES = 60  # of a script, in which settings of a later PostgreSQL may stand

Tables = dict[str, list[str]]


@contextmanager
def one_moment() -> Iterator[tuple[Ask, Tables, str]]:
    """A door for questions to the running database, its tables, and the snapshot they are of."""
    apart = connection.copy()
    try:
        with apart.cursor() as cursor:
            cursor.execute("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY")

            def ask(query: str) -> Sequence[Sequence[Any]]:
                cursor.execute(query)
                return list(cursor.fetchall())

            tables: Tables = {}
            for table, column in ask(
                "SELECT c.table_name, c.column_name FROM information_schema.columns c "
                "JOIN information_schema.tables t USING (table_schema, table_name) "
                "WHERE c.table_schema = current_schema() AND t.table_type = 'BASE TABLE' "
                "ORDER BY 1, c.ordinal_position"
            ):
                if table != TOKEN_TABLE:
                    tables.setdefault(table, []).append(column)
            ((snapshot,),) = ask("SELECT pg_export_snapshot()")
            yield ask, tables, snapshot
    finally:
        apart.close()


def dump(target: Path, snapshot: str) -> None:
    """Everything as of the snapshot, in pg_dump's custom format."""
    refuse_other_version("pg_dump")
    _run(
        *("pg_dump", "--format=custom", "--no-owner", "--no-privileges"),
        *("--exclude-table", TOKEN_TABLE, f"--snapshot={snapshot}", f"--file={target}"),
        doing="The database could not be dumped",
    )


def check(file: Path) -> None:
    """Raises BackupError when the dump cannot be read to its end."""
    _run("pg_restore", "--list", str(file), doing="The dump in it cannot be read")
    _run("pg_restore", "--file=/dev/null", str(file), doing="The dump in it cannot be read")


def size() -> int:
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_database_size(current_database())")
        return int(cursor.fetchone()[0])


def put_back(file: Path, token: str) -> None:
    """The database as in the dump, and nothing else in it: one transaction, all or nothing."""
    refuse_other_version("pg_restore")
    script = file.with_suffix(".sql")
    try:
        with open(script, "wb") as out:
            out.write(_empty(token).encode())
            _write_script(file, out)
        _run(
            *("psql", "--no-psqlrc", "--quiet", "--set=ON_ERROR_STOP=1"),
            *("--single-transaction", f"--file={script}"),
            doing="The database could not be put back, and is as it was",
        )
    finally:
        script.unlink(missing_ok=True)


def _write_script(file: Path, out: IO[bytes]) -> None:
    wanted = _listed_without_what_is_made_anew(file)
    options = "--no-owner", "--no-privileges", f"--use-list={wanted}", "--file=-"
    command = _program("pg_restore"), *options, str(file)
    reader = subprocess.Popen(command, stdout=subprocess.PIPE)  # noqa: S603
    with reader:
        for number, line in enumerate(reader.stdout or ()):
            if number >= HEAD_LINES or not _is_unknown_here(line):
                out.write(line)
    wanted.unlink()
    if reader.returncode != 0:
        raise BackupError("The dump in it cannot be read to its end; nothing was changed.")


def _listed_without_what_is_made_anew(file: Path) -> Path:
    """What of the dump is put back: all records, without what the next start makes anew.

    Extensions among it: whoever restores may not be the one who could install them.
    """
    said = subprocess.run(  # noqa: S603
        [_program("pg_restore"), "--list", str(file)], capture_output=True, text=True, check=False
    ).stdout
    left = [line for line in said.splitlines() if not _is_made_anew(line)]
    listed = file.with_suffix(".list")
    listed.write_text("\n".join(left) + "\n", encoding="utf-8")
    return listed


def _is_made_anew(line: str) -> bool:
    return f" {MADE_ANEW}" in line or " EXTENSION " in line


def took(token: str) -> bool:
    """Whether the transaction that wrote this token came to its end."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT to_regclass(%s)", [TOKEN_TABLE])
        if cursor.fetchone()[0] is None:
            return False
        cursor.execute(f"SELECT token FROM {TOKEN_TABLE}")  # noqa: S608
        return (token,) in cursor.fetchall()


def refuse_other_version(program: str) -> None:
    """An older pg_dump refuses a later server; said before anything is written."""
    said = subprocess.run(  # noqa: S603
        [_program(program), "--version"], capture_output=True, text=True, check=False
    ).stdout
    found = re.search(r"(\d+)(\.\d+)*", said)
    with connection.cursor() as cursor:
        cursor.execute("SHOW server_version_num")
        server = int(cursor.fetchone()[0]) // 10000
    if found and int(found[1]) < server:
        raise BackupError(
            f"{program} is of version {found[1]}, the server of version {server}: install the "
            f"client programs of PostgreSQL {server} (postgresql-client-{server} in Debian)."
        )


def environment() -> Mapping[str, str]:
    """Who is asked and as whom, for PostgreSQL's programs; a password stands on no command line."""
    told = connection.settings_dict
    given = {
        "PGHOST": told.get("HOST"),
        "PGPORT": told.get("PORT"),
        "PGUSER": told.get("USER"),
        "PGPASSWORD": told.get("PASSWORD"),
        "PGDATABASE": told.get("NAME"),
        "PGSSLMODE": told.get("OPTIONS", {}).get("sslmode"),
        "PGSSLROOTCERT": told.get("OPTIONS", {}).get("sslrootcert"),
    }
    return {**os.environ, **{name: str(value) for name, value in given.items() if value}}


def _empty(token: str) -> str:
    """Drops what is there, with the functions that its triggers call, and leaves the token."""
    lines = (
        f"SET lock_timeout = '{LOCKED_SECONDS}s';",
        "DO $$ DECLARE one record; BEGIN FOR one IN SELECT tablename FROM pg_tables",
        "WHERE schemaname = current_schema() LOOP",
        "EXECUTE 'DROP TABLE ' || quote_ident(one.tablename) || ' CASCADE';",
        "END LOOP; END $$;",
        "DO $$ DECLARE one record; BEGIN FOR one IN SELECT p.oid::regprocedure AS name",
        "FROM pg_proc p WHERE p.pronamespace = current_schema()::regnamespace",
        "AND p.prokind = 'f' AND NOT EXISTS (SELECT 1 FROM pg_depend d WHERE d.objid = p.oid",
        "AND d.deptype = 'e') LOOP EXECUTE 'DROP FUNCTION ' || one.name || ' CASCADE';",
        "END LOOP; END $$;",
        f"CREATE TABLE {TOKEN_TABLE} (token) AS SELECT '{token}'::text;\n",  # letters and digits
    )
    return "\n".join(lines)


def _is_unknown_here(line: bytes) -> bool:
    """pg_restore 17 sets a limit that an earlier server does not know."""
    return line.startswith(b"SET transaction_timeout")


def _program(name: str) -> str:
    found = shutil.which(name)
    if found is None:
        raise BackupError(
            f"There is no {name} on this computer: install the client programs of PostgreSQL "
            "(postgresql-client in Debian)."
        )
    return found


def _run(program: str, *arguments: str, doing: str) -> None:
    said = subprocess.run(  # noqa: S603
        [_program(program), *arguments],
        env=environment(),
        capture_output=True,
        text=True,
        errors="replace",
        check=False,
    )
    if said.returncode != 0:
        words = " ".join(said.stderr.split()) or f"{program} ended with {said.returncode}"
        raise BackupError(f"{doing}: {words}")
