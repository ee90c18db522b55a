"""One file with everything in it, checked by opening it; or nothing, and a sentence."""

import datetime
import json
import shutil
import sqlite3
import zipfile
from contextlib import closing
from types import SimpleNamespace

import pytest
from django.core.management import CommandError, call_command

from breeding.program.backup import archive, writing
from breeding.program.backup.problem import BackupError
from breeding.program.backup.writing import back_up

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.one_database("files of SQLite; tests/program/backup/test_drill.py is on both"),
]
NOW = datetime.datetime(2026, 3, 5, 3, 0, tzinfo=datetime.UTC)


@pytest.fixture
def target(tmp_path):
    return tmp_path / "rays.zip"


def names(folder):
    return sorted(one.name for one in folder.iterdir())


def test_everything_is_in_it_and_it_is_private(home, target):
    manifest = back_up(target, now=NOW)
    with zipfile.ZipFile(target) as opened:
        assert sorted(opened.namelist()) == [
            "database.sqlite3",
            "files/photographs/2026/a.jpg",
            "files/photographs/2026/b.jpg",
            "home/secret_key",
            "home/sheet_key.pem",
            "manifest.json",
        ]
        assert opened.read("files/photographs/2026/a.jpg") == b"a ray"
        assert opened.read("home/secret_key") == (home / "secret_key").read_bytes()
    assert target.stat().st_mode & 0o777 == 0o600
    assert (manifest.made_at, manifest.database) == ("2026-03-05T03:00:00+00:00", "sqlite")
    counted = {one.table: one.rows for one in manifest.counted}
    assert (counted["animals_animal"], counted["program_person"]) == (1, 1)
    assert "0001_program_and_people" in manifest.migrations["program"]
    assert (manifest.missing, manifest.loose) == ([], 0)


def test_what_lies_in_the_wal_file_is_in_it(home, target, tmp_path):
    with closing(sqlite3.connect(home / "rayward.sqlite3", isolation_level=None)) as running:
        running.execute("PRAGMA journal_mode=WAL")
        running.execute("PRAGMA wal_autocheckpoint=0")
        running.execute("UPDATE animals_animal SET call_name = 'Written just now'")
        back_up(target, now=NOW)
    with zipfile.ZipFile(target) as opened:
        opened.extract("database.sqlite3", tmp_path)
    with closing(sqlite3.connect(tmp_path / "database.sqlite3")) as copy:
        assert copy.execute("SELECT call_name FROM animals_animal").fetchall() == [
            ("Written just now",)
        ]


def test_a_file_that_comes_or_goes_while_the_database_is_copied_is_in_it(home, target, monkeypatch):
    copy = writing.sqlite.copy

    def copy_and_meanwhile(*given):
        (home / "files/new.jpg").write_bytes(b"its row is in the copy")
        copy(*given)
        (home / "files/photographs/2026/a.jpg").unlink()

    monkeypatch.setattr(writing.sqlite, "copy", copy_and_meanwhile)
    manifest = back_up(target, now=NOW)
    assert {"new.jpg", "photographs/2026/a.jpg"} <= set(manifest.files)
    assert manifest.missing == []
    assert [one for one in names(home) if one.startswith(".")] == []


def test_a_file_that_is_only_being_written_is_left_out(home, target):
    (home / "files/photographs/2026/.passing-1").write_bytes(b"half of it")
    assert len(back_up(target, now=NOW).files) == 2


def test_without_links_the_files_are_copied_after_the_database(home, target, monkeypatch):
    def no_links(*_):
        raise OSError(1, "Operation not permitted")

    monkeypatch.setattr("os.link", no_links)
    assert len(back_up(target, now=NOW).files) == 2


def test_a_file_that_a_record_names_and_that_is_gone_is_named(home, target, capsys):
    (home / "files/photographs/2026/b.jpg").unlink()
    assert back_up(target, now=NOW).missing == ["photographs/2026/b.jpg"]
    call_command("back_up", str(target), "--replace")
    assert "1 file that records name was not there" in capsys.readouterr().out


def test_nothing_is_overwritten_without_being_asked(home, target):
    target.write_text("mine")
    with pytest.raises(CommandError, match="is there already; with --replace it is replaced"):
        call_command("back_up", str(target))
    assert target.read_text() == "mine"
    call_command("back_up", str(target), "--replace")
    assert zipfile.is_zipfile(target)


def test_a_directory_that_is_not_there_is_said(home, target):
    with pytest.raises(BackupError, match=r"There is no directory .*nowhere"):
        back_up(target.parent / "nowhere" / "rays.zip", now=NOW)
    with pytest.raises(BackupError, match="is a directory; name the file"):
        back_up(home, now=NOW)


def test_too_small_a_disk_is_said_before_anything_is_written(home, target, monkeypatch):
    monkeypatch.setattr(shutil, "disk_usage", lambda _: SimpleNamespace(free=2_000_000))
    before = names(target.parent)
    with pytest.raises(BackupError, match=r"Up to .* MB are needed in .* and 2\.0 MB are free"):
        back_up(target, now=NOW)
    assert names(target.parent) == before


@pytest.mark.parametrize("moment", ["_copy_database", "_give_its_name", "unpack"])
def test_a_disk_that_fills_up_leaves_nothing_behind(home, target, monkeypatch, moment):
    def full(*_, **__):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(writing, moment, full)
    before, home_before = names(target.parent), names(home)
    with pytest.raises(BackupError, match=r"The disk of .* is full; nothing was written"):
        back_up(target, now=NOW)
    assert (names(target.parent), names(home)) == (before, home_before)


def test_a_damaged_database_gives_no_backup(home, target):
    content = bytearray((home / "rayward.sqlite3").read_bytes())
    content[8192:60_000] = b"\xff" * (60_000 - 8192)
    (home / "rayward.sqlite3").write_bytes(content)
    with pytest.raises(BackupError, match="is damaged: "):
        back_up(target, now=NOW)
    assert not target.exists()


def test_a_row_that_points_nowhere_is_counted_and_backed_up_as_it_is(home, target, ask):
    ask("UPDATE animals_photograph SET animal_id = 999")
    assert back_up(target, now=NOW).loose == 1


@pytest.mark.parametrize("at", range(20))
def test_a_byte_that_is_turned_anywhere_is_found(home, target, tmp_path, at):
    """But for one in what the archive says of a file's day and the like, which nobody reads."""
    back_up(target, now=NOW)
    whole = target.read_bytes()
    position = len(whole) * at // 20 + 97
    content = bytearray(whole)
    content[position] ^= 0xFF
    target.write_bytes(content)
    kept = {}

    def place(name):
        return kept.setdefault(name, tmp_path / f"opened{at}" / name)

    try:
        archive.unpack(target, place, tmp_path)
    except BackupError:
        return
    with zipfile.ZipFile(target) as opened:
        told = json.loads(opened.read("manifest.json"))["contents"]
    assert set(told) == set(kept)


@pytest.mark.parametrize("share", [0, 1, 40, 99])
def test_half_a_backup_is_none(home, target, tmp_path, share):
    back_up(target, now=NOW)
    whole = target.read_bytes()
    target.write_bytes(whole[: len(whole) * share // 100])
    with pytest.raises(BackupError, match="is no whole backup"):
        archive.unpack(target, lambda name: None, tmp_path / "opened")


@pytest.mark.parametrize(
    "name", ["../key", "/etc/key", "files/../../key", "home/../key", "home/a/b", "files", "other"]
)
def test_nothing_in_it_leads_outside(home, target, tmp_path, name):
    back_up(target, now=NOW)
    with zipfile.ZipFile(target) as opened:
        told = json.loads(opened.read("manifest.json"))
        members = {one: opened.read(one) for one in told["contents"]}
    told["contents"][name] = told["contents"]["home/secret_key"]
    members[name] = members["home/secret_key"]
    with zipfile.ZipFile(target, "w") as written:
        for one, content in members.items():
            written.writestr(one, content)
        written.writestr("manifest.json", json.dumps(told))
    with pytest.raises(BackupError, match="is no name of a file in a backup"):
        archive.unpack(target, lambda name: None, tmp_path / "opened")
