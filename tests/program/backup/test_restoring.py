"""A backup put back: looked at whole, told what it changes, and all or nothing."""

import datetime
import json
import shutil
import sqlite3
import subprocess
import sys
import zipfile
from contextlib import closing
from types import SimpleNamespace

import pytest
from django.core.management import CommandError, call_command

from breeding import home_lock, home_swap
from breeding.program.backup import writing
from breeding.program.backup.manifest import FORMAT
from breeding.program.backup.writing import back_up
from tests.browser.real import RealProgram

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.one_database("files of SQLite; tests/program/backup/test_drill.py is on both"),
]
NOW = datetime.datetime(2026, 3, 5, 3, 0, tzinfo=datetime.UTC)


@pytest.fixture
def archive(home, tmp_path):
    target = tmp_path / "rays.zip"
    back_up(target, now=NOW)
    return target


def restored(archive, *, replace=True):
    call_command("restore", str(archive), *(["--replace"] if replace else []))


def put_aside(home):
    return sorted(home.glob("replaced-*"))


def rewritten(archive, **changes):
    """The archive with another list of contents."""
    with zipfile.ZipFile(archive) as opened:
        members = {one: opened.read(one) for one in opened.namelist()}
    told = json.loads(members["manifest.json"]) | changes
    members["manifest.json"] = json.dumps(told).encode()
    with zipfile.ZipFile(archive, "w") as written:
        for name, content in members.items():
            written.writestr(name, content)
    return archive


def test_it_says_what_changes_and_changes_nothing_until_it_is_told(
    archive, home, ask, rename, called, capsys
):
    ask("DELETE FROM animals_photograph")
    rename("Vega")
    (home / "files/later.jpg").write_bytes(b"later")
    with pytest.raises(CommandError, match=r"With --replace they are put aside.*Nothing was"):
        restored(archive, replace=False)
    said = capsys.readouterr().out.splitlines()
    assert any(line.split()[:3] == ["photographs", "0", "1"] for line in said)
    assert any(line.split() == ["files", "3", "2"] for line in said)
    assert called() == ["Vega"]
    assert put_aside(home) == []


def test_everything_is_as_it_was_and_what_was_there_is_put_aside(
    archive, home, rename, called, capsys
):
    rename("Vega")
    (home / "files/later.jpg").write_bytes(b"later")
    (home / "secret_key").write_text("another")
    restored(archive)
    assert called() == ["Mira"]
    assert (home / "files/photographs/2026/a.jpg").read_bytes() == b"a ray"
    assert not (home / "files/later.jpg").exists()
    assert (home / "secret_key").read_text() != "another"
    (aside,) = put_aside(home)
    assert str(aside) in capsys.readouterr().out
    assert (aside / "files/later.jpg").read_bytes() == b"later"
    assert (aside / "secret_key").read_text() == "another"
    with closing(sqlite3.connect(aside / "rayward.sqlite3")) as old:
        assert old.execute("SELECT call_name FROM animals_animal").fetchall() == [("Vega",)]
    assert [one.name for one in home.glob(".*")] == []


def test_into_an_empty_directory_it_goes_without_being_told_twice(archive, home, called, capsys):
    shutil.rmtree(home)
    restored(archive, replace=False)
    assert f"Start it with: manage.py start --home {home}" in capsys.readouterr().out
    assert called() == ["Mira"]
    assert put_aside(home) == []
    for name in ("secret_key", "sheet_key.pem", "rayward.sqlite3"):
        assert (home / name).stat().st_mode & 0o777 == 0o600


def test_a_database_that_is_damaged_is_put_aside_as_it_is(archive, home, called, capsys):
    (home / "rayward.sqlite3").write_bytes(b"SQLite format 3\0" + b"\xff" * 9000)
    restored(archive)
    assert "What is here now cannot be counted" in capsys.readouterr().out
    assert called() == ["Mira"]
    (aside,) = put_aside(home)
    assert (aside / "rayward.sqlite3").stat().st_size == 9016


def test_what_was_left_in_a_wal_file_does_not_come_into_the_new(archive, home, called):
    with closing(sqlite3.connect(home / "rayward.sqlite3", isolation_level=None)) as running:
        running.execute("PRAGMA journal_mode=WAL")
        running.execute("UPDATE animals_animal SET call_name = 'Vega'")
        for ending in ("-wal", "-shm"):
            file = home / f"rayward.sqlite3{ending}"
            shutil.copy(file, home / f"left{ending}")
    for ending in ("-wal", "-shm"):
        (home / f"left{ending}").rename(home / f"rayward.sqlite3{ending}")
    restored(archive)
    assert called() == ["Mira"]


def test_one_that_is_not_whole_changes_nothing(archive, home, rename, called):
    rename("Vega")
    content = bytearray(archive.read_bytes())
    content[20_000] ^= 0xFF
    archive.write_bytes(content)
    with pytest.raises(CommandError, match="is no whole backup"):
        restored(archive)
    assert called() == ["Vega"]
    assert put_aside(home) == []
    assert [one.name for one in home.glob(".*")] == []


def test_what_export_wrote_is_sent_to_the_command_that_takes_it(tmp_path, home):
    file = tmp_path / "out.zip"
    with zipfile.ZipFile(file, "w") as written:
        written.writestr("manifest.json", '{"format": "rayward archive"}')
    with pytest.raises(CommandError, match=r"what export wrote, not a backup: manage.py load_exp"):
        restored(file)


def test_a_byte_that_changed_is_said_with_what_to_do(archive, home):
    content = bytearray(archive.read_bytes())
    content[20_000] ^= 0xFF
    archive.write_bytes(content)
    with pytest.raises(CommandError, match=r"Take another copy of it, or an earlier one\.$"):
        restored(archive)


def test_one_of_a_later_version_is_refused_by_name(archive, home, rename, called):
    rename("Vega")
    with zipfile.ZipFile(archive) as opened:
        told = json.loads(opened.read("manifest.json"))
    told["migrations"]["animals"].append("0002_of_tomorrow")
    later = rewritten(archive, migrations=told["migrations"], version="7.0")
    with pytest.raises(CommandError, match=r"version 7\.0 \(unknown here: animals 0002_of_tomor"):
        restored(later)
    with pytest.raises(CommandError, match="of a later kind"):
        restored(rewritten(archive, format=FORMAT + 1))
    assert called() == ["Vega"]


def test_one_of_another_kind_of_database_is_refused(archive, home):
    with zipfile.ZipFile(archive) as opened:
        members = {one: opened.read(one) for one in opened.namelist()}
    told = json.loads(members["manifest.json"]) | {"database": "postgresql"}
    told["contents"]["database.dump"] = told["contents"].pop("database.sqlite3")
    members["database.dump"] = members.pop("database.sqlite3")
    members["manifest.json"] = json.dumps(told).encode()
    with zipfile.ZipFile(archive, "w") as written:
        for name, content in members.items():
            written.writestr(name, content)
    with pytest.raises(CommandError, match="of a database of postgresql, and this program uses"):
        restored(archive)


def test_what_is_no_backup_at_all_is_said(home, tmp_path):
    with pytest.raises(CommandError, match=r"nothing\.zip cannot be used: No such file"):
        restored(tmp_path / "nothing.zip")
    with zipfile.ZipFile(tmp_path / "other.zip", "w") as other:
        other.writestr("letter.txt", "Dear Jo")
    with pytest.raises(CommandError, match="it is no backup of this program"):
        restored(tmp_path / "other.zip")


def test_a_server_that_runs_on_the_directory_is_named(archive, home, monkeypatch, called, rename):
    rename("Vega")

    def taken(*_, **__):
        raise home_lock.HomeTakenError("It is in use by a server.")

    monkeypatch.setattr(home_lock, "take", taken)
    with pytest.raises(CommandError, match=r"in use by a server\. Nothing was changed\."):
        restored(archive)
    assert called() == ["Vega"]


def test_a_command_that_has_the_database_open_is_noticed(archive, home, rename, called):
    rename("Vega")
    with closing(sqlite3.connect(home / "rayward.sqlite3", isolation_level=None)) as open_still:
        open_still.execute("PRAGMA journal_mode=WAL")
        open_still.execute("BEGIN IMMEDIATE")
        with pytest.raises(CommandError, match="is open in another process: stop every server"):
            restored(archive)
        open_still.execute("ROLLBACK")
    assert called() == ["Vega"]
    assert put_aside(home) == []


def test_too_small_a_disk_is_said_before_anything_is_unpacked(archive, home, monkeypatch, called):
    monkeypatch.setattr(shutil, "disk_usage", lambda _: SimpleNamespace(free=2_000_000))
    with pytest.raises(CommandError, match=r"and 2\.0 MB are free\. Nothing was changed\."):
        restored(archive)
    assert put_aside(home) == []


def test_a_database_outside_the_directory_is_refused(archive, home, monkeypatch, tmp_path):
    monkeypatch.setattr(writing.sqlite, "database_file", lambda: tmp_path / "else.sqlite3")
    with pytest.raises(CommandError, match="lie outside"):
        restored(archive)


def test_what_is_put_aside_twice_on_one_day_has_two_places(archive, home):
    restored(archive)
    restored(archive)
    first, second = put_aside(home)
    assert second.name == f"{first.name}-2"


def test_a_directory_that_takes_no_lock_is_said(archive, home):
    (home / "running.lock").mkdir()
    with pytest.raises(CommandError, match=r"running\.lock cannot be used: .*nothing was changed"):
        restored(archive)


def test_what_stops_it_half_way_is_said_and_finished_by_the_next_command(
    archive, home, rename, called, monkeypatch
):
    rename("Vega")
    replace = home_swap.os.replace

    def stopping(old, new):
        if str(new).endswith("secret_key"):
            raise OSError(5, "Input/output error")
        replace(old, new)

    with monkeypatch.context() as patch:
        patch.setattr(home_swap.os, "replace", stopping)
        with pytest.raises(CommandError, match=r"It is begun and not finished: .*Input/output"):
            restored(archive)
    assert "it is finished now" in home_swap.finish_interrupted(home)
    assert called() == ["Mira"]
    assert not list(home.glob(".restoring-*"))


def test_backups_on_the_shelf_stay_where_they_are(archive, home):
    (home / "backups").mkdir()
    (home / "backups" / "rayward-20260304T030000Z.zip").write_bytes(b"an older one")
    restored(archive)
    assert (home / "backups" / "rayward-20260304T030000Z.zip").read_bytes() == b"an older one"


def test_a_damaged_key_stops_everything_but_the_restore_that_brings_it_back(archive, home, called):
    whole = (home / "secret_key").read_text()
    (home / "secret_key").write_text("")
    environment = RealProgram(home).environment

    def manage(*arguments):
        return subprocess.run(
            [sys.executable, "manage.py", *arguments],
            env=environment,
            capture_output=True,
            text=True,
            check=False,
        )

    assert "secret_key is empty" in manage("back_up", str(archive), "--replace").stderr
    said = manage("restore", str(archive), "--replace")
    assert said.returncode == 0, said.stderr
    assert (home / "secret_key").read_text() == whole
