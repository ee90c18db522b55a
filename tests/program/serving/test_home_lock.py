"""One server or one restore on a directory; whoever comes second is told who was first."""

import json
import subprocess
import sys

import pytest

from breeding import home_lock
from breeding.home_lock import HomeTakenError

HOLD = """
import sys
from pathlib import Path
from breeding import home_lock
home_lock.take(Path(sys.argv[1]), "a server at 127.0.0.1:8000", beside_others=sys.argv[2] == "1")
print("held", flush=True)
sys.stdin.read()
"""


@pytest.fixture
def another_process(tmp_path):
    """Holds tmp_path until its input is closed or it is killed."""
    processes = []

    def hold(*, beside_others: bool) -> subprocess.Popen:
        process = subprocess.Popen(
            [sys.executable, "-c", HOLD, str(tmp_path), str(int(beside_others))],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
        )
        processes.append(process)
        assert process.stdout.readline() == b"held\n"
        return process

    yield hold
    for process in processes:
        process.kill()
        process.communicate()


def test_the_second_is_told_who_was_first(tmp_path, another_process):
    first = another_process(beside_others=False)
    with pytest.raises(HomeTakenError) as refused:
        home_lock.take(tmp_path, "a restore")
    assert f"{tmp_path} is in use by a server at 127.0.0.1:8000" in str(refused.value)
    assert f"process {first.pid}" in str(refused.value)
    assert "--home DIR" in str(refused.value)


def test_a_process_that_is_killed_holds_nothing(tmp_path, another_process):
    first = another_process(beside_others=False)
    first.kill()
    first.wait()
    with home_lock.taken(tmp_path, "a restore"):
        told = json.loads((tmp_path / "running.lock").read_text())
        assert told["doing"] == "a restore"


def test_several_may_share_it_and_one_alone_waits_for_all_of_them(tmp_path, another_process):
    another_process(beside_others=True)
    another_process(beside_others=True)
    with pytest.raises(HomeTakenError):
        home_lock.take(tmp_path, "a restore")


def test_whoever_holds_it_holds_it_still_and_lets_go_once(tmp_path, another_process):
    home_lock.take(tmp_path, "a server")
    home_lock.take(tmp_path, "the same server")
    home_lock.let_go(tmp_path)
    home_lock.let_go(tmp_path)
    another_process(beside_others=False)


def test_a_lock_of_which_nothing_is_written_yet_keeps_out_all_the_same(tmp_path, another_process):
    another_process(beside_others=False)
    (tmp_path / "running.lock").write_text("")
    with pytest.raises(HomeTakenError, match="in use by another process\\. Stop that first"):
        home_lock.take(tmp_path, "a restore")
