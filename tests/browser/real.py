"""The program as it runs at a keeper's: its own process and file, killed and begun anew."""

import os
import re
import signal
import socket
import sqlite3
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

from tests.as_it_was import migrate

ROOT = Path(__file__).parents[2]
PEOPLE = """
from breeding.program.services import add_person
from tests import cast
cast.owner()
cast.keeper()
cast.female("Mira"); cast.female("Vega"); cast.male("Deneb")
"""
PATIENCE_SECONDS = 600  # a new home is migrated first, on a busy machine


class RealProgram:
    """`manage.py start` on a port of its own, with Jo, Sam, two females and a male on record."""

    def __init__(self, home: Path) -> None:
        self.home = home
        self.environment = {**os.environ, "RAYWARD_HOME": str(home), "PYTHONPATH": str(ROOT)}
        for other in ("DJANGO_SETTINGS_MODULE", "RAYWARD_DATABASE"):
            self.environment.pop(other, None)
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.url = f"http://127.0.0.1:{self.port}"
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        migrate(self.home)
        log = self.home.with_name("start.log")
        with log.open("a") as told:
            self.process = subprocess.Popen(
                [sys.executable, "manage.py", "start", "--listen", f"127.0.0.1:{self.port}"],
                cwd=ROOT,
                env=self.environment,
                stdout=told,
                stderr=subprocess.STDOUT,
            )
        until = time.monotonic() + PATIENCE_SECONDS
        while not self.answers() and time.monotonic() < until and self.process.poll() is None:
            time.sleep(0.1)
        assert self.answers(), log.read_text()

    def answers(self) -> bool:
        with socket.socket() as visitor:
            return visitor.connect_ex(("127.0.0.1", self.port)) == 0

    def write_people(self) -> None:
        self._manage("shell", "-v", "0", "-c", PEOPLE)

    def load_demo(self) -> None:
        """The invented program; its people sign in with DEMO_PASSWORD."""
        self._manage("load_demo", "-v", "0")

    def _manage(self, *command: str) -> None:
        subprocess.run(
            [sys.executable, "manage.py", *command],
            cwd=ROOT,
            env=self.environment,
            check=True,
            capture_output=True,
        )

    def kill(self) -> None:
        """As when the power fails: nothing is closed, nothing is said."""
        if self.process is not None and self.process.poll() is None:
            self.process.send_signal(signal.SIGKILL)
            self.process.wait(PATIENCE_SECONDS)

    def rows(self, query: str) -> list[tuple[Any, ...]]:
        with sqlite3.connect(self.home / "rayward.sqlite3", timeout=20) as database:
            return database.execute(query).fetchall()

    def sightings(self) -> list[tuple[Any, ...]]:
        """The female of every sighting that counts."""
        return self.rows(
            "SELECT animal.call_name FROM pairings_sighting AS seen "
            "JOIN animals_animal AS animal ON animal.id = seen.female_id "
            "WHERE seen.withdrawn_at IS NULL ORDER BY seen.id"
        )


def token_in(page: str) -> str:
    """The one-time token of the form on a page."""
    found = re.search(r'name="once" value="([^"]+)"', page)
    assert found, "there is no form that writes on this page"
    return found[1]
