"""Killed again and again while several write, and on a full disk: nothing lost, nothing doubled."""

import os
import subprocess
import time
from collections import Counter

import pytest

from tests.browser.real import RealProgram
from tests.program.backup.devices import Load

pytestmark = pytest.mark.one_database("processes with a file of their own, killed or without room")


@pytest.fixture
def program(tmp_path):
    real = RealProgram(tmp_path / "home")
    yield real
    real.kill()


def written(program) -> Counter[str]:
    """How often each word is on record."""
    return Counter(note for (note,) in program.rows("SELECT note FROM pairings_sighting"))


def nothing_is_lost_or_doubled(load, program):
    on_record = written(program)
    lost = [word for word in load.acknowledged if word not in on_record]
    doubled = [word for word, times in on_record.items() if times > 1]
    assert (lost, doubled) == ([], [])
    assert program.rows("PRAGMA integrity_check") == [("ok",)]
    assert program.rows("PRAGMA foreign_key_check") == []


def test_what_was_acknowledged_is_there_once_after_every_kill(program):
    program.start()
    program.write_people()
    load = Load(program, devices=3, most=60)
    load.start()
    for enough in (15, 35):
        until = time.monotonic() + 120
        while len(load.acknowledged) < enough and time.monotonic() < until:
            time.sleep(0.02)
        program.kill()
        program.start()
    load.join()
    assert len(load.acknowledged) == 60
    assert len(load.refused) >= 1  # some were under way, and were sent again
    nothing_is_lost_or_doubled(load, program)
    assert sorted(written(program)) == sorted(load.acknowledged)


@pytest.fixture
def small_disk(tmp_path):
    """A file system of its own in memory, of 24 MB; only root can have one."""
    place = tmp_path / "disk"
    place.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=24m,mode=700", "tmpfs", str(place)]
    if os.geteuid() != 0 or subprocess.run(mount, check=False, capture_output=True).returncode:
        pytest.skip("no small file system can be mounted here: it needs root")
    yield place
    subprocess.run(["umount", "--lazy", str(place)], check=True)


def test_on_a_full_disk_what_is_acknowledged_is_there_and_the_rest_is_refused_in_words(small_disk):
    program = RealProgram(small_disk / "home")
    try:
        program.start()
        program.write_people()
        load = Load(program, devices=3)
        filler = small_disk / "filler"
        load.start()
        _wait(lambda: len(load.acknowledged) >= 10)
        with open(filler, "wb", buffering=0) as out:
            try:
                while True:
                    out.write(b"\0" * 4096)
            except OSError:
                pass
        full_at = len(load.refused)
        _wait(lambda: len(load.refused) >= full_at + 9)
        assert {one.partition(" ")[0] for one in load.refused} == {"507"}
        filler.unlink()
        enough = len(load.acknowledged) + 10
        _wait(lambda: len(load.acknowledged) >= enough)
        load.stop()
        nothing_is_lost_or_doubled(load, program)
    finally:
        program.kill()


def _wait(done) -> None:
    until = time.monotonic() + 120
    while not done() and time.monotonic() < until:
        time.sleep(0.05)
    assert done()
