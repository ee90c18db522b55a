"""Starting: which address is read, which directory is used, and what the demo never touches."""

import os
import socket
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management import CommandError

from breeding import __main__ as entry
from breeding import home, home_lock
from breeding.program.management.commands.start import _refuse_a_taken_port, read_listen


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("127.0.0.1:8000", ("127.0.0.1", 8000)),
        ("0.0.0.0:80", ("0.0.0.0", 80)),
        (":8000", ("127.0.0.1", 8000)),
        ("8000", ("127.0.0.1", 8000)),
        ("[::1]:8000", ("::1", 8000)),
        ("rays.local:65535", ("rays.local", 65535)),
    ],
)
def test_an_address_and_a_port_are_read(typed, read):
    assert read_listen(typed) == read


@pytest.mark.parametrize(
    "typed",
    ["", ":", "localhost", "127.0.0.1:", "127.0.0.1:0", "127.0.0.1:65536", "x:-1", "x:8e3", "x:²"],
)
def test_what_is_no_port_is_refused_by_name(typed):
    with pytest.raises(CommandError, match=r"write it like 127\.0\.0\.1:8000"):
        read_listen(typed)


def test_a_port_that_is_taken_is_said_before_anything_is_made():
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        with pytest.raises(CommandError, match=f"Cannot answer at 127.0.0.1:{port}"):
            _refuse_a_taken_port("127.0.0.1", port)
    _refuse_a_taken_port("127.0.0.1", port)  # free again


# ------------------------------------------------------------------------------ the directory


@pytest.fixture
def real_home(tmp_path, monkeypatch):
    place = tmp_path / "real"
    monkeypatch.setenv("RAYWARD_HOME", str(place))
    return place


def test_the_directory_of_the_environment_is_made_with_its_key(real_home):
    assert home.prepare(["start"]) == real_home
    key = real_home / "secret_key"
    assert len(key.read_text()) >= 50
    assert stat.S_IMODE(key.stat().st_mode) == 0o600
    assert stat.S_IMODE(real_home.stat().st_mode) == 0o700


def test_the_key_is_made_once(real_home):
    home.prepare(["start"])
    first = home.secret_key(real_home)
    home.prepare(["start"])
    assert home.secret_key(real_home) == first
    assert first not in (home.secret_key(real_home.parent / "a"), "")


@pytest.mark.parametrize("how", ["--home {0}", "--home={0}"])
def test_a_named_directory_wins_over_the_environment(real_home, tmp_path, how):
    named = tmp_path / "named"
    assert home.prepare(["start", *how.format(named).split()]) == named
    assert (named / "secret_key").exists()
    assert not real_home.exists()


@pytest.mark.parametrize(
    "arguments", [["--demo"], ["--demo", "--home", "X"], ["--home=X", "--demo"]]
)
def test_the_demo_has_a_new_directory_and_never_touches_real_data(
    real_home, tmp_path, monkeypatch, arguments
):
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    named = str(tmp_path / "named")
    arguments = [argument.replace("X", named) for argument in arguments]
    places = {home.prepare(["start", *arguments]) for _ in range(2)}
    assert len(places) == 2
    for place in places:
        assert place.parent == tmp_path
        assert place.name.startswith("rayward-demo-")
    assert not real_home.exists()
    assert not Path(named).exists()


def test_the_demo_forgets_the_real_database(real_home, tmp_path, monkeypatch):
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    monkeypatch.setenv("RAYWARD_DATABASE", "sqlite:////real/place")
    monkeypatch.setattr("sys.argv", ["manage.py", "start", "--demo"])
    handed_on = []
    monkeypatch.setattr(
        "django.core.management.execute_from_command_line",
        lambda arguments: handed_on.append(
            (arguments, os.environ.get("RAYWARD_DATABASE"), os.environ["RAYWARD_HOME"])
        ),
    )
    entry.main()
    ((arguments, database, place),) = handed_on
    assert arguments == ["manage.py", "start", "--demo"]
    assert database is None
    assert Path(place).name.startswith("rayward-demo-")


@pytest.mark.parametrize("how", ["{0} make_link jo", "make_link {0} jo", "make_link jo {0}"])
@pytest.mark.parametrize("named", ["--home {0}", "--home={0}", "--home elsewhere --home {0}"])
def test_every_command_works_on_the_directory_that_is_named(
    real_home, tmp_path, monkeypatch, how, named
):
    place = str(tmp_path / "named")
    monkeypatch.setattr("sys.argv", ["manage.py", *how.format(named.format(place)).split()])
    handed_on = []
    monkeypatch.setattr(
        "django.core.management.execute_from_command_line",
        lambda arguments: handed_on.append((arguments, os.environ["RAYWARD_HOME"])),
    )
    entry.main()
    assert handed_on == [(["manage.py", "make_link", "jo"], place)]


@pytest.mark.parametrize(
    "arguments", [["make_link", "--home"], ["--home", "--all", "jo"], ["--home="]]
)
def test_home_without_a_directory_is_said(real_home, arguments):
    with pytest.raises(SystemExit, match="--home names no directory"):
        home.taken_out(arguments)


def test_a_directory_that_cannot_be_used_is_said_in_one_sentence(tmp_path):
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(SystemExit, match=r"The data directory .*file/under cannot be used: "):
        home.prepare(["start", "--home", str(tmp_path / "file" / "under")])


def test_a_command_without_a_database_says_where_it_looked(tmp_path):
    place = tmp_path / "nowhere"
    of_the_tests = ("DJANGO_SETTINGS_MODULE", "RAYWARD_DATABASE")
    bare = {name: value for name, value in os.environ.items() if name not in of_the_tests}
    said = subprocess.run(
        [sys.executable, str(Path(entry.__file__).parents[1] / "manage.py"), "make_link", "jo"],
        env={**bare, "RAYWARD_HOME": str(place)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert said.returncode == 1
    assert f"The data directory is {place}; RAYWARD_HOME names another" in said.stderr
    assert "Traceback" not in said.stderr
    assert not place.exists()


def test_a_second_start_on_the_same_directory_is_refused_in_words(tmp_path):
    of_the_tests = ("DJANGO_SETTINGS_MODULE", "RAYWARD_DATABASE")
    bare = {name: value for name, value in os.environ.items() if name not in of_the_tests}
    start = [sys.executable, str(Path(entry.__file__).parents[1] / "manage.py"), "start"]
    with home_lock.taken(tmp_path, "a server at 127.0.0.1:8000"):
        second = subprocess.run(
            [*start, "--home", str(tmp_path), "--listen", "127.0.0.1:8769"],
            env=bare,
            capture_output=True,
            text=True,
            check=False,
        )
    assert second.returncode == 1
    assert f"{tmp_path} is in use by a server at 127.0.0.1:8000" in second.stderr
    assert "Traceback" not in second.stderr
    assert not (tmp_path / "rayward.sqlite3").exists()
