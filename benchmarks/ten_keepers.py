"""Ten keepers at work at once on a program of 5,000 animals, on SQLite and on PostgreSQL.

`.venv/bin/python -m benchmarks.ten_keepers --minutes 4 --postgres postgres://user@host/postgres`

A real server on this machine and its loopback alone (`--processes` of them on PostgreSQL), a home
and a database of their own, which are removed at the end. Each keeper opens pages, logs what was
seen, measures, moves and writes down animals, with a pause to read between. Shown side by side:
how long the answers took, how many were faults, and whether all that was acknowledged is there.
"""

import argparse
import http.client
import json
import os
import random
import re
import shutil
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import urllib.parse
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import chain
from pathlib import Path
from typing import Any

from breeding import home

ROOT = Path(__file__).resolve().parents[1]
KEEPERS, ANIMALS, PAUSE_SECONDS, LONGEST_SECONDS = 10, 5000, 1.0, 60

BEGIN = """
import datetime, json, random
from django.core.management import call_command
from django.db import transaction
from django.test import Client
call_command("migrate", verbosity=0)
call_command("load_species", verbosity=0)
from breeding.animals import services
from breeding.animals.bulk import NewAnimal
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.program.services import add_person, set_up_program
jo = set_up_program(name="Lantern Street Rays", time_zone="UTC", username="jo", called="Jo",
                    password="a-lantern-in-fog")
people = [jo] + [add_person(username=f"k{n}", called=f"Keeper {n}", password="a-lantern-in-fog",
                            role="keeper") for n in range(1, KEEPERS)]
draw, today = random.Random(1), datetime.date.today()
rows = []
for key in range(1, ANIMALS + 1):
    begun = (key - 1) // 500
    sire = draw.randrange((begun - 1) * 250 + 1, begun * 250) * 2 - 1 if begun else None
    dam = draw.randrange((begun - 1) * 250 + 1, begun * 250) * 2 if begun else None
    gone = key <= ANIMALS - 600
    rows.append(NewAnimal(key, sire=sire, dam=dam, facts={
        "call_name": f"Ray {key}", "sex": "M" if key % 2 else "F",
        "state": "left" if gone else "here",
        "born_on": today - datetime.timedelta(
            days=800 * (ANIMALS // 500 - begun) - draw.randrange(99)),
    }))
made = services.register_animals(rows, by=jo)
here = [made[key] for key in range(ANIMALS - 599, ANIMALS + 1)]
tanks = [Tank.objects.create(name=f"Tank {n}") for n in range(60)]
with transaction.atomic():
    for number, one in enumerate(here[:300]):  # females in the even tanks, males in the odd ones
        tank = tanks[number // 10 * 2 + (one.sex == "M")]
        move_animal(one, tank, on=today - datetime.timedelta(days=30), by=jo)
cookies = []
for person in people:
    client = Client()
    client.force_login(person)
    cookies.append(client.cookies["rayward_session"].value)
print("begun:", json.dumps({"cookies": cookies, "tanks": [one.pk for one in tanks],
      "here": [one.pk for one in here], "males": [one.pk for one in here if one.sex == "M"],
      "females": [one.pk for one in here if one.sex == "F"]}))
"""
COUNT = """
from breeding.animals.models import Animal, Measurement
from breeding.pairings.models import Sighting
print("kept:", Sighting.objects.count(), Measurement.objects.count(), Animal.objects.count())
"""


@dataclass
class Answers:
    """How long each kind of answer took, and which were faults."""

    seconds: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    faults: list[str] = field(default_factory=list)
    acknowledged: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    lock: threading.Lock = field(default_factory=threading.Lock)

    def note(self, what: str, seconds: float, status: int) -> None:
        with self.lock:
            self.seconds[what].append(seconds)
            if status >= 500 or status == 0:
                self.faults.append(f"{what}: {status or 'no answer'}")


class Keeper:
    """One person with a browser that asks any of the servers."""

    def __init__(
        self, number: int, begun: dict[str, Any], ports: list[int], answers: Answers
    ) -> None:
        self.draw, self.begun, self.answers = random.Random(number), begun, answers  # noqa: S311
        self.port = ports[number % len(ports)]
        self.cookies = {"rayward_session": begun["cookies"][number]}

    def ask(self, what: str, path: str, form: dict[str, Any] | None = None) -> tuple[int, str]:
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=LONGEST_SECONDS)
        cookies = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        headers = {"Cookie": cookies, "Referer": f"http://127.0.0.1:{self.port}{path}"}
        body = None if form is None else urllib.parse.urlencode(form, doseq=True)
        if form is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        began = time.perf_counter()
        try:
            line.request("GET" if form is None else "POST", path, body, headers)
            answer = line.getresponse()
            page, status = answer.read().decode("utf-8", "replace"), answer.status
            for cookie in answer.headers.get_all("Set-Cookie") or ():
                name, _, value = cookie.partition(";")[0].partition("=")
                self.cookies[name] = value
        except (OSError, http.client.HTTPException):
            page, status = "", 0
        finally:
            line.close()
        self.answers.note(what, time.perf_counter() - began, status)
        return status, page

    def read(self, what: str, path: str) -> None:
        status, _ = self.ask(what, path)
        if status != 200:
            with self.answers.lock:
                self.answers.faults.append(f"{what}: {status} instead of the page")

    def write(self, what: str, path: str, form: dict[str, Any]) -> None:
        _, page = self.ask(f"form: {what}", path)
        found = dict(re.findall(r'name="(csrfmiddlewaretoken|once|seen)" value="([^"]+)"', page))
        status, page = self.ask(what, path, form | found)
        asked = re.findall(r'name="sure" value="([^"]+)"', page)
        if status == 200 and asked:  # an unusual value: this keeper is sure of it
            status, _ = self.ask(what, path, form | found | {"sure": asked})
        if status == 302:
            with self.answers.lock:
                self.answers.acknowledged[what] += 1

    def work(self, until: float) -> None:
        while time.monotonic() < until:
            self.one_thing()
            time.sleep(self.draw.uniform(0.5, 1.5) * PAUSE_SECONDS)

    def one_thing(self) -> None:
        here, today = self.draw.choice(self.begun["here"]), time.strftime("%Y-%m-%d")
        female = self.draw.choice(self.begun["females"])
        number = self.draw.randrange(2)
        moved = self.draw.choice(self.begun[("females", "males")[number]])
        tank = self.draw.choice(self.begun["tanks"][number::2])
        name = f"New {self.draw.randrange(10**9)}"
        things: list[tuple[int, Callable[[], None]]] = [
            (4, lambda: self.read("the day", "/")),
            (4, lambda: self.read("an animal", f"/animals/{here}/")),
            (2, lambda: self.read("animals", "/animals/")),
            (2, lambda: self.read("tanks", "/tanks/")),
            (
                4,
                lambda: self.write(
                    "log a sign", "/pairings/log/", {"female": female, "kind": self.begun["kind"]}
                ),
            ),
            (
                2,
                lambda: self.write(
                    "measure",
                    f"/animals/{here}/measure/",
                    {"on": today, "weight": self.draw.randrange(900, 999)},
                ),
            ),
            (2, lambda: self.write("move", f"/tanks/move/{moved}/", {"on": today, "tank": tank})),
            (
                1,
                lambda: self.write(
                    "write down an animal",
                    "/animals/new/",
                    {"call_name": name, "sex": "U", "origin": "unknown", "state": "here"},
                ),
            ),
        ]
        weights = [weight for weight, _ in things]
        self.draw.choices(things, weights)[0][1]()


class Program:
    """A program with its home and servers, on one database."""

    def __init__(self, database: str, processes: int) -> None:
        self.home = Path(tempfile.mkdtemp(prefix="rayward-ten-keepers-"))
        self.environment = {**os.environ, "RAYWARD_HOME": str(self.home)}
        self.environment.pop("DJANGO_SETTINGS_MODULE", None)
        self.environment.pop("RAYWARD_DATABASE", None)
        if database:
            self.environment["RAYWARD_DATABASE"] = database
        self.processes: list[subprocess.Popen[bytes]] = []
        self.ports: list[int] = []
        self.number = processes if database else 1

    def run(self, script: str, begins: str) -> str:
        command = [sys.executable, "manage.py", "shell", "-v0", "-c", script]
        done = subprocess.run(  # noqa: S603
            command, cwd=ROOT, env=self.environment, capture_output=True, text=True, check=False
        )
        if begins not in done.stdout:
            raise SystemExit(f"{done.stdout}\n{done.stderr}")
        return done.stdout.split(begins, 1)[1].strip()

    def start(self) -> None:
        for _ in range(self.number):
            with socket.socket() as free:
                free.bind(("127.0.0.1", 0))
                port = free.getsockname()[1]
            command = [sys.executable, "manage.py", "start", "--home", str(self.home)]
            command += ["--listen", f"127.0.0.1:{port}"]
            log = (self.home / f"log-{port}").open("wb")
            self.processes.append(
                subprocess.Popen(  # noqa: S603
                    command, cwd=ROOT, env=self.environment, stdout=log, stderr=log
                )
            )
            self.ports.append(port)
        for port in self.ports:
            for _ in range(600):
                with socket.socket() as probe:
                    if probe.connect_ex(("127.0.0.1", port)) == 0:
                        break
                time.sleep(0.2)

    def stop(self) -> None:
        for one in self.processes:
            one.send_signal(signal.SIGTERM)
        for one in self.processes:
            try:
                one.wait(30)
            except subprocess.TimeoutExpired:
                one.kill()
        shutil.rmtree(self.home, ignore_errors=True)


@contextmanager
def own_database(server: str) -> Iterator[str]:
    """A database of its own on a PostgreSQL server; removed at the end."""
    import psycopg

    name = f"rayward_ten_keepers_{os.getpid()}"
    base, _, _ = server.rpartition("/")
    with psycopg.connect(server, autocommit=True) as line:
        line.execute(f'CREATE DATABASE "{name}"')
    try:
        yield f"{base}/{name}"
    finally:
        with psycopg.connect(server, autocommit=True) as line:
            line.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')


def measure(database: str, minutes: float, animals: int, processes: int) -> Answers:
    """Ten keepers at work for so long on one database."""
    program, answers = Program(database, processes), Answers()
    try:
        home.prepare(["start", f"--home={program.home}"])  # its key, by which sessions are signed
        script = BEGIN.replace("KEEPERS", str(KEEPERS)).replace("ANIMALS", str(animals))
        begun = json.loads(program.run(script, "begun:"))
        kind = "from breeding.pairings.models import SignKind as K; "
        kind += "print('kind:', K.objects.get(key='copulation').pk)"
        begun["kind"] = program.run(kind, "kind:")
        before = [int(one) for one in program.run(COUNT, "kept:").split()]
        program.start()
        until = time.monotonic() + minutes * 60
        keepers = [Keeper(number, begun, program.ports, answers) for number in range(KEEPERS)]
        threads = [threading.Thread(target=one.work, args=(until,)) for one in keepers]
        for one in threads:
            one.start()
        for one in threads:
            one.join()
        after = [int(one) for one in program.run(COUNT, "kept:").split()]
        for what, was, now in zip(
            ("log a sign", "measure", "write down an animal"), before, after, strict=True
        ):
            if now - was != answers.acknowledged[what]:
                answers.faults.append(
                    f"{what}: {answers.acknowledged[what]} acknowledged, {now - was} kept"
                )
    finally:
        program.stop()
    return answers


def percentile(seconds: list[float], share: float) -> float:
    ordered = sorted(seconds)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]


def show(found: dict[str, Answers]) -> None:
    """The databases side by side: median and 95th percentile in milliseconds."""
    print(f"{'':28}" + "".join(f"{name:>34}" for name in found))
    print(f"{'':28}" + f"{'number  median    95 %  longest':>34}" * len(found))
    for what in sorted({one for answers in found.values() for one in answers.seconds}):
        print(f"{what:28}" + "".join(_row(answers.seconds[what]) for answers in found.values()))
    everything = (list(chain(*answers.seconds.values())) for answers in found.values())
    print(f"{'all':28}" + "".join(_row(seconds) for seconds in everything))
    for name, answers in found.items():
        written = ", ".join(f"{what} {number}" for what, number in answers.acknowledged.items())
        print(f"{name}: acknowledged and kept: {written or 'nothing'}")
        print(f"{name}: {len(answers.faults)} faults. {'; '.join(sorted(set(answers.faults))[:9])}")


def _row(seconds: list[float]) -> str:
    if not seconds:
        return f"{'-':>34}"
    figures = (statistics.median(seconds), percentile(seconds, 0.95), max(seconds))
    return f"{len(seconds):>10}" + "".join(f"{1000 * one:>8.0f}" for one in figures)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--minutes", type=float, default=4)
    parser.add_argument("--animals", type=int, default=ANIMALS)
    parser.add_argument("--processes", type=int, default=3, help="server processes on PostgreSQL")
    parser.add_argument("--postgres", default="", help="postgres://user@host:port/postgres")
    asked = parser.parse_args()
    signal.signal(signal.SIGTERM, lambda *_: sys.exit("Stopped."))  # takes its servers along
    found = {"SQLite": measure("", asked.minutes, asked.animals, 1)}
    if asked.postgres:
        with own_database(asked.postgres) as database:
            name = f"PostgreSQL, {asked.processes} processes"
            found[name] = measure(database, asked.minutes, asked.animals, asked.processes)
    show(found)


if __name__ == "__main__":
    main()
