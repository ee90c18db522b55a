"""The two commands as they are typed, in processes of their own; from one database to another.

The processes work on SQLite. On PostgreSQL this is the way there and back; on SQLite it is the
way into a program of its own, and back.
"""

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

import breeding
from tests.records.archive.filled import every_kind
from tests.records.archive.loop import LATER, files_of, load, taken_out

pytestmark = pytest.mark.django_db
MANAGE = Path(breeding.__file__).parents[1] / "manage.py"
OF_THE_TESTS = ("DJANGO_SETTINGS_MODULE", "RAYWARD_DATABASE", "RAYWARD_HOME")


def rayward(*arguments: object) -> subprocess.CompletedProcess[str]:
    bare = {name: value for name, value in os.environ.items() if name not in OF_THE_TESTS}
    typed = [sys.executable, str(MANAGE), *map(str, arguments)]
    return subprocess.run(typed, env=bare, capture_output=True, text=True, check=False)


@pytest.fixture
def archive(species_data, settings, tmp_path) -> Path:
    settings.HOME = tmp_path / "first"
    settings.HOME.mkdir()
    (settings.HOME / "secret_key").write_text("k" * 60)
    every_kind()
    place = tmp_path / "first.zip"
    place.write_bytes(taken_out())
    return place


def test_from_one_database_to_another_and_back_nothing_is_lost(archive, settings, tmp_path):
    home, second = tmp_path / "second", tmp_path / "second.zip"
    loaded = rayward("load_export", archive, "--home", home)
    assert loaded.returncode == 0, loaded.stderr
    assert loaded.stdout.startswith(f"Loaded into {home}: ")
    assert (home / "secret_key").read_text() == "k" * 60
    assert {stat.S_IMODE(one.stat().st_mode) for one in home.rglob("*.jpg")} == {0o600}

    written = rayward("--home", home, "export", second, "--with-keys")
    assert written.returncode == 0, written.stderr
    assert "It holds the keys" in written.stdout
    assert stat.S_IMODE(second.stat().st_mode) == 0o600
    assert files_of(second.read_bytes()) == files_of(archive.read_bytes())

    load(second.read_bytes(), settings, tmp_path / "third")
    assert files_of(taken_out(now=LATER)) == files_of(archive.read_bytes())

    again = rayward("load_export", archive, "--home", home)
    assert again.returncode == 1
    assert f"The program in {home} is not empty: it has program, people" in again.stderr
    in_the_way = rayward("export", second, "--home", home)
    assert in_the_way.returncode == 1
    assert f"{second} is there already, and stays as it is; name a new file." in in_the_way.stderr


def test_what_is_refused_leaves_no_directory_behind(tmp_path):
    (tmp_path / "a.zip").write_text("no archive")
    answer = rayward("load_export", tmp_path / "a.zip", "--home", tmp_path / "home")
    assert answer.returncode == 1
    assert answer.stderr == (
        f"Error: Nothing was loaded from {tmp_path}/a.zip. It is no archive that can be opened.\n"
    )
    assert not (tmp_path / "home").exists()
    gone = rayward("load_export", tmp_path / "b.zip", "--home", tmp_path / "home")
    assert "cannot be read: No such file or directory." in gone.stderr
