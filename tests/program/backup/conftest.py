"""A directory as it lies on a keeper's disk: a database file, pictures, keys."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from django.db import connection

from breeding import home as homes
from breeding.program.backup import sqlite
from tests import cast

PICTURES = {"photographs/2026/a.jpg": b"a ray", "photographs/2026/b.jpg": b"a small ray"}


@pytest.fixture
def home(tmp_path, settings, monkeypatch, owner) -> Path:
    """Jo's program with Mira and a picture of her; the file is a copy of the tests' database."""
    place = tmp_path / "home"
    mira = cast.female("Mira")
    mira.photographs.create(
        picture="photographs/2026/a.jpg",
        thumbnail="photographs/2026/b.jpg",
        width_px=4,
        height_px=3,
    )
    homes.prepare(["start", "--home", str(place)])
    connection.ensure_connection()
    (place / "rayward.sqlite3").write_bytes(connection.connection.serialize())
    for name, content in PICTURES.items():
        file = place / "files" / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(content)
    settings.HOME, settings.MEDIA_ROOT = place, place / "files"
    settings.BACKUPS = place / "backups"
    monkeypatch.setattr(sqlite, "database_file", lambda: place / "rayward.sqlite3")
    return place


@pytest.fixture
def ask(home):
    """What a query finds in the file, or what it changes there."""

    def asked(query: str, *values):
        with closing(sqlite3.connect(home / "rayward.sqlite3", isolation_level=None)) as file:
            return file.execute(query, values).fetchall()

    return asked


@pytest.fixture
def rename(ask):
    """Somebody renames the one animal: what is here now differs from the backup."""
    return lambda name: ask("UPDATE animals_animal SET call_name = ?", name)


@pytest.fixture
def called(ask):
    return lambda: [name for (name,) in ask("SELECT call_name FROM animals_animal")]
