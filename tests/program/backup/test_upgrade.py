"""A later version backs up what is there before it changes it, and there is a way back."""

import os
import re
import signal
import subprocess
import sys

import pytest

from tests.browser.real import RealProgram

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.one_database("processes with a file of their own"),
]


@pytest.fixture
def manage(home):
    """A command of this version, or of one that has a room more."""
    real = RealProgram(home)
    newer = {"DJANGO_SETTINGS_MODULE": "tests.program.backup.newer.settings"}

    def run(*arguments, later=False, **environment):
        with subprocess.Popen(
            [sys.executable, "manage.py", *arguments],
            env={**real.environment, **(newer if later else {}), **environment},
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        ) as process:
            said = []
            for line in process.stdout:
                said.append(line)
                if "Ctrl-C stops it" in line:
                    process.send_signal(signal.SIGINT)
        return process.returncode, "".join(said)

    run.port = real.port
    return run


def start(manage, **how):
    return manage("start", "--listen", f"127.0.0.1:{manage.port}", **how)


def test_it_backs_up_changes_and_can_go_back(home, manage, called):
    status, said = start(manage, later=True, FAIL="1")
    assert status == 1, said
    assert "could not be changed for this version: the records are not as this version" in said
    assert "Traceback" not in said
    assert called() == ["Mira"]
    (first,) = (home / "backups").glob("before-*.zip")
    assert str(first) in said

    status, said = start(manage, later=True)
    assert status == 0, said
    assert called() == ["Renamed"]
    way_back = re.search(r"manage\.py (restore \S+before-\S+\.zip --replace) --home", said)
    assert way_back, said
    assert len(list((home / "backups").glob("before-*.zip"))) == 2

    status, said = manage(*way_back[1].split())
    assert status == 0, said
    assert called() == ["Mira"]


def test_without_room_for_the_backup_nothing_is_changed(home, manage, called):
    (home / "backups").write_text("in the way")
    status, said = start(manage, later=True)
    assert status == 1
    assert "they could not be backed up first, so nothing was changed" in said
    assert "Traceback" not in said
    assert called() == ["Mira"]
    assert os.path.isfile(home / "backups")
