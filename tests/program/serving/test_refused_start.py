"""A start that would do harm is refused in words: what is the matter, and what to do about it."""

import errno
import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import CommandError
from django.db import connection

from breeding import home
from breeding.program.serving import database, refusals
from breeding.program.serving.refusals import Asked
from breeding.sheets.models import Sheet
from breeding.sheets.sealing.lost_key import check_the_key
from breeding.sheets.services import issue_sheet
from tests import cast

MANAGE = Path(home.__file__).parents[1] / "manage.py"
OF_THE_TESTS = ("DJANGO_SETTINGS_MODULE", "RAYWARD_DATABASE", "RAYWARD_HOME")


def run(place: Path, *arguments: str) -> subprocess.CompletedProcess:
    """A command in a process of its own; a start gets a port that cannot be taken by two tests."""
    bare = {name: value for name, value in os.environ.items() if name not in OF_THE_TESTS}
    return subprocess.run(
        [sys.executable, str(MANAGE), *arguments, "--home", str(place)],
        env=bare,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )


def refused(place: Path, *arguments: str) -> str:
    """What a start says that comes to nothing."""
    said = run(place, "start", "--listen", "127.0.0.1:8399", *arguments)
    assert said.returncode == 1
    assert "Traceback" not in said.stderr
    return said.stderr


@pytest.fixture
def place(tmp_path):
    made = tmp_path / "home"
    made.mkdir(mode=0o700)
    (made / home.KEY_FILE).write_text("k" * 40 + "0123456789")
    return made


# ------------------------------------------------------------------------------------- the key


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "is empty"),
        (b"  \n", "is empty"),
        (b"short", r"is too short \(5 letters of 50\)"),
        (b"\xff\xfe" * 40, "cannot be read: it is no text"),
    ],
)
def test_a_secret_key_that_anybody_could_guess_is_never_accepted(place, content, words):
    (place / home.KEY_FILE).write_bytes(content)
    with pytest.raises(ValueError, match=f"secret_key {words}.*Put the file back from a backup"):
        home.secret_key(place)
    with pytest.raises(SystemExit, match=words):
        home.prepare(["start", "--home", str(place)])
    assert (place / home.KEY_FILE).read_bytes() == content


@pytest.mark.one_database("a process that never comes to its database")
def test_no_command_runs_with_an_empty_key(place):
    (place / home.KEY_FILE).write_bytes(b"")
    assert "is empty, so that anybody could guess it" in refused(place)
    said = run(place, "make_link", "jo")
    assert said.returncode == 1
    assert "is empty, so that anybody could guess it" in said.stderr
    assert "Traceback" not in said.stderr


@pytest.mark.one_database("a process that never comes to its database")
def test_a_restore_is_not_kept_from_bringing_the_key_back(place, tmp_path):
    (place / home.KEY_FILE).write_bytes(b"")
    said = run(place, "restore", str(tmp_path / "none.zip"))
    assert "could guess it" not in said.stderr
    assert "none.zip" in said.stderr
    assert "Traceback" not in said.stderr


# -------------------------------------------------------------------------------- the database


@pytest.mark.one_database("damages an SQLite file of its own")
@pytest.mark.parametrize("content", [b"no database" * 500, b"SQLite format 3\0" + b"\0" * 90])
def test_a_damaged_database_is_refused_and_stays_as_it_is(place, content):
    file = place / home.DATABASE_FILE
    file.write_bytes(content)
    assert "The database is damaged, and nothing was changed in it" in refused(place)
    assert file.read_bytes() == content


@pytest.mark.one_database("cuts an SQLite file of its own")
def test_a_database_that_was_cut_short_is_refused(place):
    file = place / home.DATABASE_FILE
    with sqlite3.connect(file) as there:
        there.execute("CREATE TABLE animals (name TEXT)")
        there.executemany("INSERT INTO animals VALUES (?)", [("x" * 500,)] * 400)
    file.write_bytes(file.read_bytes()[:60_000])
    assert "The database is damaged" in refused(place)


@pytest.mark.one_database("a directory of its own, without a database")
def test_files_without_their_database_are_half_a_program(place):
    (place / "files" / "photographs").mkdir(parents=True)
    (place / "files" / "photographs" / "1.jpg").write_bytes(b"picture")
    said = refused(place)
    assert "no database beside them: half of a program" in said
    assert not (place / home.DATABASE_FILE).exists()


@pytest.mark.django_db
def test_a_database_of_this_version_passes():
    refusals.check_the_database()
    refusals.check_it_is_whole()
    assert not database.is_behind()


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("app", "name"), [("animals", "0099_from_tomorrow"), ("program", "0002_more")]
)
def test_a_database_of_a_newer_version_is_refused_by_what_it_has_more(app, name):
    with connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO django_migrations (app, name, applied) VALUES (%s, %s, %s)",
            [app, name, "2026-11-01T00:00:00Z"],
        )
    with pytest.raises(CommandError, match=f"A newer version of Rayward .*{app} {name}"):
        refusals.check_the_database()


@pytest.mark.django_db
def test_half_a_database_is_refused_by_what_is_missing():
    with connection.cursor() as cursor:
        cursor.execute("DROP TABLE offers_saleslink")
    with pytest.raises(CommandError, match="missing: the table offers_saleslink"):
        refusals.check_it_is_whole()


# ------------------------------------------------------------------------------------ the disk


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.ENOSPC, "is full; nothing was changed. Make room"),
        (errno.EDQUOT, "is full; nothing was changed. Make room"),
        (errno.EROFS, "can only be read, not written"),
        (errno.EACCES, "must belong to whoever starts the program"),
    ],
)
def test_a_disk_that_takes_nothing_is_said_before_anything_begins(
    tmp_path, monkeypatch, number, words
):
    def takes_nothing(*_, **__):
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr("tempfile.TemporaryFile", takes_nothing)
    with pytest.raises(CommandError, match=words):
        refusals.check_the_home(tmp_path)


# --------------------------------------------------------------------------- the key for sheets


@pytest.fixture
def own_home(tmp_path, settings):
    settings.HOME = tmp_path
    return tmp_path


@pytest.fixture
def issued(own_home, owner):
    """A sheet that was signed, and the file of its key."""
    issue_sheet(cast.female("Lyra"), by=owner, on=cast.day("2026-11-25"))
    return own_home / home.SHEET_KEY_FILE


@pytest.mark.django_db
def test_the_first_start_makes_the_key_for_sheets(own_home):
    check_the_key(Asked(own_home))
    assert home.sheet_key(own_home) is not None


@pytest.mark.django_db
def test_a_lost_key_is_not_replaced_in_silence(issued):
    issued.unlink()
    with pytest.raises(CommandError, match=r"sheet_key.pem, is not there.*--new-sheet-key"):
        check_the_key(Asked(issued.parent))
    assert not issued.exists()


@pytest.mark.django_db
def test_a_new_key_is_made_when_it_is_asked_for(issued):
    before = Sheet.objects.get().public_key
    issued.unlink()
    check_the_key(Asked(issued.parent, new_sheet_key=True))
    key = home.sheet_key(issued.parent)
    assert key.public_key().public_bytes_raw().hex() != before


@pytest.mark.django_db
def test_asking_for_a_new_key_leaves_one_that_is_there(issued):
    check_the_key(Asked(issued.parent, new_sheet_key=True))
    key = home.sheet_key(issued.parent)
    assert key.public_key().public_bytes_raw().hex() == Sheet.objects.get().public_key


@pytest.mark.django_db
def test_without_the_key_it_starts_and_issues_no_sheet(issued, as_owner):
    issued.unlink()
    check_the_key(Asked(issued.parent, without_signing=True))
    door = f"/sheets/new/{Sheet.objects.get().animal_id}/"
    page = as_owner.post(door, {"paper": "a4", "generations": "3", "issue": "1"})
    assert "Whoever runs the program puts it back" in page.content.decode()
    assert not issued.exists()
    assert Sheet.objects.count() == 1
