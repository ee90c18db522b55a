"""Run, back up under load, destroy, restore, compare everything: on both databases."""

import hashlib
import os
import shutil
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from django.db import connection

from breeding.program.backup.archive import look_into
from tests.browser.real import ROOT, RealProgram
from tests.program.backup.devices import Device, Load, NotAnswered, OnPostgres, a_picture

pytestmark = pytest.mark.django_db  # so that it runs on PostgreSQL too; its database is its own


@pytest.fixture
def program(tmp_path):
    """A real process, on a file of its own or in a database of its own on the tests' server."""
    home = tmp_path / "here" / "home"
    home.parent.mkdir()
    server = os.environ.get("RAYWARD_DATABASE", "")
    real = OnPostgres(home, server) if connection.vendor == "postgresql" else RealProgram(home)
    try:
        real.start()
        real.write_people()
        yield real
    finally:
        real.kill()
        if isinstance(real, OnPostgres):
            real.drop()


def manage(program, *arguments):
    return subprocess.run(
        [sys.executable, "manage.py", *arguments],
        cwd=ROOT,
        env=program.environment,
        capture_output=True,
        text=True,
        check=False,
    )


def digests(folder: Path) -> dict[str, str]:
    return {
        file.relative_to(folder).as_posix(): hashlib.sha256(file.read_bytes()).hexdigest()
        for file in folder.rglob("*")
        if file.is_file()
    }


def add_pictures(program, pictures: list[str], stop: threading.Event) -> None:
    """One after the other; what was answered with yes is remembered."""
    device = Device(program)
    mira = program.rows("SELECT id FROM animals_animal WHERE call_name = 'Mira'")[0][0]
    shade = 0
    while not stop.is_set():
        shade += 7
        word = f"picture-{shade}"
        fields = {"once": device.new_token(), "taken_on": "2026-01-02", "caption": word}
        try:
            device.send_picture(f"/animals/{mira}/photograph/", fields, a_picture(shade))
        except NotAnswered:
            continue
        pictures.append(word)


EVERY_SIGHTING = "SELECT id, note, female_id, kind_id FROM pairings_sighting ORDER BY id"
EVERY_PICTURE = "SELECT id, caption, picture, thumbnail FROM animals_photograph ORDER BY id"


def test_run_back_up_under_load_destroy_restore_compare_everything(program, tmp_path):
    archive = tmp_path / "rays.zip"
    load, pictures, stop = Load(program, devices=3), [], threading.Event()
    painter = threading.Thread(target=add_pictures, args=(program, pictures, stop))
    load.start()
    painter.start()
    try:
        until = time.monotonic() + 120
        while (len(load.acknowledged) < 30 or len(pictures) < 4) and time.monotonic() < until:
            time.sleep(0.1)
        before, pictures_before = list(load.acknowledged), list(pictures)
        assert len(before) >= 30
        assert len(pictures_before) >= 4
        said = manage(program, "back_up", str(archive))
        after = list(load.acknowledged)
    finally:
        stop.set()
        load.stop()
        painter.join(60)
    assert said.returncode == 0, said.stderr
    assert "Backed up and checked" in said.stdout
    assert len(after) > len(before)  # nobody was kept waiting
    program.kill()
    all_sightings, all_pictures = program.rows(EVERY_SIGHTING), program.rows(EVERY_PICTURE)
    files, keys = (
        digests(program.home / "files"),
        [(program.home / name).read_bytes() for name in ("secret_key", "sheet_key.pem")],
    )
    shutil.rmtree(program.home)
    if isinstance(program, OnPostgres):
        program.empty()

    said = manage(program, "restore", str(archive))
    assert said.returncode == 0, said.stdout + said.stderr
    manifest = look_into(archive)
    sightings, kept = program.rows(EVERY_SIGHTING), program.rows(EVERY_PICTURE)
    for one in manifest.counted:
        assert program.rows(f'SELECT COUNT(*) FROM "{one.table}"') == [(one.rows,)], one.table
    notes = [row[1] for row in sightings]
    assert set(before) <= set(notes)  # every write that was acknowledged before it began is there
    assert len(set(notes)) == len(notes)
    assert set(pictures_before) <= {row[1] for row in kept}
    assert set(sightings) <= set(all_sightings)  # and each is as it was
    assert set(kept) <= set(all_pictures)
    restored = digests(program.home / "files")
    assert {name for row in kept for name in row[2:]} <= set(restored)
    assert restored.items() <= files.items()
    assert keys == [(program.home / name).read_bytes() for name in ("secret_key", "sheet_key.pem")]
    if not isinstance(program, OnPostgres):
        assert program.rows("PRAGMA integrity_check") == [("ok",)]
        assert program.rows("PRAGMA foreign_key_check") == []

    program.start()
    assert "Mira" in Device(program).get("/animals/")
