"""How much memory the server needs: `python -m benchmarks.memory [--animals 1000]`.

The real server on a program of ten years (`programs/grown.py`) in a throw-away directory: what its
start costs, what it holds at rest, at the most, and after each `EACH` requests to all pages of many
records, of which one in `WRITES` writes a sighting. It ends with 1 when more is held than allowed,
or when it grows. Only where there is /proc (Linux), and without psycopg, which the default install
does not bring.

--requests N: 10,000 unless told. --minutes N: it ends after so long at the latest. --keep FOLDER:
the program is kept there, and taken from there the next time.
"""

import argparse
import json
import os
import random
import signal
import subprocess
import sys
import tempfile
import threading
import time
import urllib.error
import urllib.request
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import django

from benchmarks.pages import ROUTES, addresses, records_of

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
django.setup()

from tests.browser.real import ROOT, RealProgram  # noqa: E402
from tests.program.backup.devices import Device, NotAnswered  # noqa: E402

MOST_AT_REST_MB, MOST_MB, MOST_GROWTH_MB = 120, 400, 15
MOST_START_SECONDS = 3.0  # of the processor, on a directory that is there
REST_SECONDS = 40  # what the background does at a start is done
WRITES = 20
EACH = 500
VISITORS = 3
OF_EACH_KIND = 30


@dataclass(frozen=True)
class Held:
    """Of a process now, and at the most since its start: MB; and its seconds of the processor."""

    resident: float
    private: float
    most: float
    seconds: float


def held_by(pid: int) -> Held:
    rows = Path(f"/proc/{pid}/status").read_text().splitlines()
    found = {name: rest for name, _, rest in (row.partition(":") for row in rows)}
    resident, private, most = (
        int(found[name].split()[0]) / 1024 for name in ("VmRSS", "RssAnon", "VmHWM")
    )
    parts = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    ticks = int(parts[11]) + int(parts[12])
    return Held(resident, private, most, ticks / os.sysconf("SC_CLK_TCK"))


@dataclass
class Visits:
    """Requests shared out among visitors, and how they were answered."""

    pages: dict[str, list[str]]
    write_to: list[int]
    sign: int
    number: int
    done: int = 0
    answers: Counter[str] = field(default_factory=Counter)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def make(self, device: Device, seed: int, until: float) -> None:
        draw = random.Random(seed)  # noqa: S311
        names = sorted(self.pages)
        while time.monotonic() < until:
            with self.lock:
                if self.done >= self.number:
                    return
                self.done += 1
            name = "" if draw.randrange(WRITES) == 0 else draw.choice(names)
            said = self._read(device, draw.choice(self.pages[name])) if name else ""
            said = f"{name} {said}" if name else self._write(device, draw)
            with self.lock:
                self.answers[said] += 1

    def without_page(self) -> Counter[str]:
        """What was answered with neither a page nor a receipt."""
        pages = (" 200", " 302")
        return Counter({said: n for said, n in self.answers.items() if not said.endswith(pages)})

    def _read(self, device: Device, page: str) -> int:
        asked = urllib.request.Request(device.url + page)  # noqa: S310 - of the server begun here
        asked.add_header("Accept-Encoding", "gzip")
        try:
            with device.opener.open(asked, timeout=300) as answer:
                answer.read()
                return int(answer.status)
        except urllib.error.HTTPError as answer:
            answer.close()
            return answer.code

    def _write(self, device: Device, draw: random.Random) -> str:
        fields = {"female": draw.choice(self.write_to), "kind": self.sign}
        try:
            device.send("/pairings/log/", {**fields, "once": device.new_token(), "note": "seen"})
        except NotAnswered as problem:
            return f"written {problem}"
        return "written 302"


def run(home: Path, animals: int, requests: int, minutes: float) -> list[str]:
    """What is wrong, in words."""
    program = RealProgram(home)
    program.environment["PATH"] = str(home / "nothing")  # trees are drawn without a dot program
    try:
        program.start()  # it migrates
        told = _in_its_home(program, animals)
        _stop(program)
        _hide_psycopg(program, home.parent)
        program.start()
        pid = program.process.pid if program.process else 0
        begun = held_by(pid)
        print(f"start: {begun.seconds:.1f} s of the processor")
        time.sleep(REST_SECONDS)
        rest = held_by(pid)
        print(_line("at rest", rest), flush=True)
        visits = Visits(told["pages"], told["females"], told["sign"], requests)
        after = _visited(program, visits, pid, time.monotonic() + minutes * 60)
    finally:
        _stop(program)
    for said, times in sorted(visits.without_page().items()):
        print(f"{times} x {said}")
    return list(_trouble(begun, rest, after, visits))


def _hide_psycopg(program: RealProgram, folder: Path) -> None:
    place = folder / "hidden"
    place.mkdir(parents=True, exist_ok=True)
    for name in ("psycopg", "psycopg2"):
        (place / f"{name}.py").write_text("raise ImportError('not in the default install')\n")
    program.environment["PYTHONPATH"] = f"{place}{os.pathsep}{program.environment['PYTHONPATH']}"


def _visited(program: RealProgram, visits: Visits, pid: int, until: float) -> list[Held]:
    threads = [
        threading.Thread(target=visits.make, args=(Device(program, "jo"), seed, until), daemon=True)
        for seed in range(VISITORS)
    ]
    begun = time.monotonic()
    after: list[Held] = []
    for one in threads:
        one.start()
    while any(one.is_alive() for one in threads):
        time.sleep(0.5)
        if visits.done >= (len(after) + 1) * EACH:
            after.append(held_by(pid))
            said = f"after {visits.done:6,} ({time.monotonic() - begun:5.0f} s)"
            print(_line(said, after[-1]), flush=True)
    after.append(held_by(pid))
    print(_line(f"after {visits.done:6,}", after[-1]), flush=True)
    return after


def _line(when: str, held: Held) -> str:
    return (
        f"{when:24} {held.resident:5.0f} MB ({held.private:.0f} its own), at the most "
        f"{held.most:.0f} MB; {held.seconds:.1f} s of the processor"
    )


def _trouble(begun: Held, rest: Held, after: list[Held], visits: Visits) -> list[str]:
    growth = after[-1].resident - after[len(after) // 2].resident
    limits = (
        ("start, seconds", begun.seconds, MOST_START_SECONDS),
        ("at rest, MB", rest.resident, MOST_AT_REST_MB),
        ("at the most, MB", after[-1].most, MOST_MB),
        ("grown in the second half, MB", growth, MOST_GROWTH_MB),
        ("answers that are no page", visits.without_page().total(), 0),
    )
    return [
        f"{name}: {found:.1f}, allowed {most:g}" for name, found, most in limits if found > most
    ]


def _stop(program: RealProgram) -> None:
    if program.process and program.process.poll() is None:
        program.process.send_signal(signal.SIGINT)
        try:
            program.process.wait(60)
        except subprocess.TimeoutExpired:
            program.kill()


def _in_its_home(program: RealProgram, animals: int) -> dict[str, Any]:
    """Fill it where it is empty; all its pages, by route."""
    done = subprocess.run(  # noqa: S603
        [sys.executable, "-m", "benchmarks.memory", "--fill", "--animals", str(animals)],
        cwd=ROOT,
        env={**program.environment, "DJANGO_SETTINGS_MODULE": "breeding.settings"},
        stdout=subprocess.PIPE,
        check=True,
    )
    told: dict[str, Any] = json.loads(done.stdout)
    return told


def _fill(animals: int) -> None:
    from django.urls import reverse

    from benchmarks.programs.grown import on_record
    from breeding.pairings.models import SignKind

    grown = on_record(animals)
    pages = {name: [address] for name, address in addresses(grown).items()}
    for about, records in records_of(grown).items():
        some = records[:: max(1, len(records) // OF_EACH_KIND)][:OF_EACH_KIND]
        for name in ROUTES[about].split():
            pages[name] = [reverse(name, args=[one.pk]) for one in some]
    females = [one.pk for one in grown.females[:OF_EACH_KIND]]
    sign = SignKind.objects.get(key="biting").pk
    json.dump({"pages": pages, "females": females, "sign": sign}, sys.stdout)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--animals", type=int, default=1000)
    parser.add_argument("--requests", type=int, default=10_000)
    parser.add_argument("--minutes", type=float, default=60)
    parser.add_argument("--keep", type=Path)
    parser.add_argument("--fill", action="store_true", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.fill:
        _fill(asked.animals)
        return
    with tempfile.TemporaryDirectory(prefix="rayward-memory-") as passing:
        home = (asked.keep or Path(passing)).absolute() / f"home-{asked.animals}"
        home.parent.mkdir(parents=True, exist_ok=True)
        trouble = run(home, asked.animals, asked.requests, asked.minutes)
    print("\n".join(trouble) or "all within what is allowed")
    sys.exit(bool(trouble))


if __name__ == "__main__":
    main()
