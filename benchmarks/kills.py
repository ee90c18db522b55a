"""Writes acknowledged under repeated kill -9: how many are lost, how many doubled.

A real process on a file of its own; devices that send each form again until it is taken, as a
phone does. It ends with 1 when anything was lost, doubled or damaged.

    python -m benchmarks.kills [--writes 500] [--devices 4] [--seconds 1.5]
"""

import argparse
import os
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
django.setup()

from tests.browser.real import RealProgram  # noqa: E402
from tests.program.backup.devices import Load  # noqa: E402


def run(*, writes: int, devices: int, seconds: float) -> int:
    """Kill it every so many seconds of its life until all writes are acknowledged."""
    with tempfile.TemporaryDirectory(prefix="rayward-kills-") as folder:
        program = RealProgram(Path(folder) / "home")
        began, kills = time.perf_counter(), 0
        try:
            program.start()
            program.write_people()
            load = Load(program, devices=devices, most=writes)
            load.start()
            while len(load.acknowledged) < writes:
                time.sleep(seconds)
                if len(load.acknowledged) < writes:
                    program.kill()
                    kills += 1
                    program.start()
            load.join()
            return _judge(program, load, kills, time.perf_counter() - began)
        finally:
            program.kill()


def _judge(program: RealProgram, load: Load, kills: int, took: float) -> int:
    on_record = Counter(note for (note,) in program.rows("SELECT note FROM pairings_sighting"))
    lost = sum(word not in on_record for word in load.acknowledged)
    doubled = sum(times > 1 for times in on_record.values())
    whole = program.rows("PRAGMA integrity_check") == [("ok",)]
    print(
        f"{len(load.acknowledged)} writes acknowledged under {kills} kills in {took:.0f} s, "
        f"{len(load.refused)} sent again; lost {lost}, doubled {doubled}, "
        f"the database is {'whole' if whole else 'damaged'}"
    )
    return 0 if whole and not lost and not doubled else 1


def main() -> None:
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--writes", type=int, default=500)
    arguments.add_argument("--devices", type=int, default=4)
    arguments.add_argument("--seconds", type=float, default=1.5)
    asked = arguments.parse_args()
    sys.exit(run(writes=asked.writes, devices=asked.devices, seconds=asked.seconds))


if __name__ == "__main__":
    main()
