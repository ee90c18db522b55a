"""What lies in the data directory is for its owner alone."""

import os
import stat

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from breeding import home, private


def mode(path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_files_that_others_could_read_are_tightened_at_the_next_start(tmp_path):
    place = tmp_path / "home"
    pictures = place / "files" / "photographs" / "2026"
    pictures.mkdir(parents=True)
    loose = [place / "rayward.sqlite3", place / "rayward.sqlite3-wal", pictures / "1.jpg"]
    for file in loose:
        file.write_bytes(b"x")
        file.chmod(0o666)
    place.chmod(0o755)
    pictures.chmod(0o755)
    home.prepare(["start", "--home", str(place)])
    assert {mode(file) for file in loose} == {0o600}
    assert mode(pictures) == mode(place / "files") == 0o700


def test_what_belongs_to_somebody_else_is_told(tmp_path, monkeypatch, capsys):
    place = tmp_path / "home"
    place.mkdir()
    for name in ("rayward.sqlite3", "rayward.sqlite3-wal"):
        (place / name).write_bytes(b"x")
        (place / name).chmod(0o644)

    def refused(path, mode):
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr("pathlib.Path.chmod", refused)
    home.prepare(["start", "--home", str(place)])
    said = capsys.readouterr().err
    assert said.startswith(f"Others may read {place}/rayward.sqlite3")
    assert "and 1 more: it belongs to somebody else" in said


def test_what_is_not_the_programs_stays_as_it_is(tmp_path):
    letter = tmp_path / "letter.txt"
    letter.write_text("mine")
    letter.chmod(0o644)
    (tmp_path / "files").mkdir()
    (tmp_path / "files" / "elsewhere").symlink_to(letter)
    assert private.tighten(tmp_path) == []
    assert mode(letter) == 0o644


def test_from_then_on_nobody_else_can_read_what_is_made(tmp_path):
    before = os.umask(0o022)
    try:
        private.from_now_on()
        (tmp_path / "new").write_text("x")
    finally:
        os.umask(before)
    assert mode(tmp_path / "new") == 0o600


@pytest.mark.parametrize("name", ["photographs/2026/1.jpg", "origin/2026/paper.pdf"])
def test_uploaded_files_are_private_whatever_the_process_allows(name, settings):
    before = os.umask(0o022)
    try:
        kept = default_storage.save(name, ContentFile(b"x"))
    finally:
        os.umask(before)
    path = settings.MEDIA_ROOT / kept
    assert mode(path) == 0o600
    assert mode(path.parent) == 0o700
