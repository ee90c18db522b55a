"""PostgreSQL's own programs: missing, too old, or failing, each in words and with nothing done."""

from contextlib import nullcontext
from pathlib import Path
from types import SimpleNamespace

import pytest

from breeding.program.backup import postgres
from breeding.program.backup.problem import BackupError


@pytest.fixture
def server_of_version_16(monkeypatch):
    cursor = SimpleNamespace(execute=lambda _: None, fetchone=lambda: ("160003",))
    told = {"HOST": "there", "NAME": "rays", "USER": "jo", "PASSWORD": "hush", "OPTIONS": {}}
    fake = SimpleNamespace(cursor=lambda: nullcontext(cursor), settings_dict=told)
    monkeypatch.setattr(postgres, "connection", fake)


@pytest.fixture
def on_the_path(tmp_path, monkeypatch):
    """A program of this name that says or does what is given."""

    def put(name: str, script: str) -> None:
        file = tmp_path / name
        file.write_text(f"#!/bin/sh\n{script}\n")
        file.chmod(0o700)

    monkeypatch.setenv("PATH", f"{tmp_path}:/usr/bin:/bin")
    return put


def test_a_missing_program_is_said(server_of_version_16, monkeypatch, tmp_path):
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(BackupError, match="There is no pg_dump on this computer: install"):
        postgres.dump(tmp_path / "dump", "1")


def test_one_that_is_older_than_the_server_is_said(server_of_version_16, on_the_path, tmp_path):
    on_the_path("pg_dump", "echo 'pg_dump (PostgreSQL) 14.11'")
    with pytest.raises(BackupError, match=r"of version 14, the server of version 16: install the"):
        postgres.dump(tmp_path / "dump", "1")


def test_what_the_program_says_when_it_fails_is_told(server_of_version_16, on_the_path, tmp_path):
    on_the_path(
        "pg_dump",
        'test "$1" = --version && echo "pg_dump (PostgreSQL) 16.1" && exit 0\n'
        "echo 'could not write: No space left on device' >&2\nexit 1",
    )
    with pytest.raises(BackupError, match="could not be dumped: could not write: No space left"):
        postgres.dump(tmp_path / "dump", "1")


def test_the_password_is_on_no_command_line(server_of_version_16):
    given = postgres.environment()
    assert (given["PGPASSWORD"], given["PGHOST"], given["PGDATABASE"]) == ("hush", "there", "rays")


def test_a_dump_that_breaks_off_is_never_handed_to_the_database(
    server_of_version_16, on_the_path, tmp_path
):
    """Half a script would be committed as if it were whole."""
    on_the_path(
        "pg_restore",
        'test "$1" = --version && echo "pg_restore (PostgreSQL) 16.1" && exit 0\n'
        "echo 'CREATE TABLE half (x int);'\nexit 1",
    )
    on_the_path("psql", f"touch {tmp_path}/asked")
    dump = tmp_path / "database.dump"
    with pytest.raises(BackupError, match="cannot be read to its end; nothing was changed"):
        postgres.put_back(dump, "token")
    assert not (tmp_path / "asked").exists()
    assert not Path(tmp_path / "database.sql").exists()


def test_a_setting_that_only_a_later_server_knows_is_left_out(
    server_of_version_16, on_the_path, tmp_path
):
    on_the_path(
        "pg_restore",
        'test "$1" = --version && echo "pg_restore (PostgreSQL) 17.1" && exit 0\n'
        "echo 'SET transaction_timeout = 0;'\necho 'CREATE TABLE animals (x int);'",
    )
    on_the_path("psql", f'for last in "$@"; do :; done; cp "${{last#--file=}}" {tmp_path}/given')
    postgres.put_back(tmp_path / "database.dump", "token")
    given = (tmp_path / "given").read_text()
    assert "transaction_timeout" not in given
    assert "CREATE TABLE animals" in given
    assert "SELECT 'token'::text" in given
