"""Three server processes on one PostgreSQL: what one writes all know, and nothing is twice."""

import http.cookiejar
import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.parse
import urllib.request
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from django.db import connection

from tests.agenda.postbox import Postbox

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(connection.vendor == "sqlite", reason="SQLite is used by one server alone"),
]
ROOT = Path(__file__).resolve().parents[3]
LONGEST_START_SECONDS = 90
BEGIN = """
import datetime
from django.core.management import call_command
call_command("migrate", verbosity=0)
call_command("load_species", verbosity=0)
from breeding.agenda.services import choose_digest
from breeding.animals import services
from breeding.animals.models import Animal
from breeding.animals.parents.parentage import Parents
from breeding.pairings.models import SignKind
from breeding.pairings.services import log_sighting
from breeding.program.services import set_up_program
jo = set_up_program(name="Lantern Street Rays", time_zone="UTC", username="jo", called="Jo",
                    password="a-lantern-in-fog")
altair = services.register_animal(by=None, call_name="Altair", sex="M")
vega = services.register_animal(by=None, call_name="Vega", sex="F", parents=Parents(altair))
nova = services.register_animal(by=None, call_name="Nova", sex="F", parents=Parents(None, vega))
now = datetime.datetime.now(datetime.UTC)
mating = SignKind.objects.get(key="copulation")
log_sighting(female=vega, kind=mating, seen_at=now - datetime.timedelta(days=90), now=now, by=jo)
choose_digest(jo, is_on=True, email="jo@example.org", hour=0, now=now - datetime.timedelta(days=2))
print("keys:", altair.pk, nova.pk)
"""
ACTS = """
from breeding.program.models import Act
print("acts:", Act.objects.filter(door__endswith="/edit/").count())
"""


class Servers:
    """Three of them in one home, and a browser of one person that asks any of them."""

    def __init__(self, home, database, postbox):
        self.environment = {
            **{name: value for name, value in os.environ.items() if "DJANGO" not in name},
            "RAYWARD_HOME": str(home),
            "RAYWARD_DATABASE": database,
            "RAYWARD_MAIL": f"smtp://127.0.0.1:{postbox.port}",
            "RAYWARD_MAIL_FROM": "rays@example.org",
        }
        self.home, self.processes, self.ports = home, [], []
        self.browser = urllib.request.build_opener(
            urllib.request.HTTPCookieProcessor(http.cookiejar.CookieJar())
        )

    def run(self, *arguments):
        command = [sys.executable, "manage.py", *arguments]
        done = subprocess.run(
            command, cwd=ROOT, env=self.environment, capture_output=True, text=True, timeout=180
        )
        assert done.returncode == 0, done.stderr
        return done.stdout

    def start(self, number):
        for _ in range(number):
            with socket.socket() as free:
                free.bind(("127.0.0.1", 0))
                port = free.getsockname()[1]
            at = ("--home", str(self.home), "--listen", f"127.0.0.1:{port}")
            self.ports.append(port)
            self.processes.append(
                subprocess.Popen(
                    [sys.executable, "manage.py", "start", *at],
                    cwd=ROOT,
                    env=self.environment,
                    stdout=subprocess.DEVNULL,
                    stderr=subprocess.PIPE,
                    text=True,
                )
            )
        for port, process in zip(self.ports, self.processes, strict=True):
            self._wait_for(port, process)

    def _wait_for(self, port, process):
        until = time.monotonic() + LONGEST_START_SECONDS
        while time.monotonic() < until and process.poll() is None:
            try:
                socket.create_connection(("127.0.0.1", port), 1).close()
                return
            except OSError:
                time.sleep(0.2)
        raise AssertionError(f"No answer: {process.stderr.read() if process.poll() else 'slow'}")

    def page(self, of, path, form=None):
        """The page of one of them as one line, and its status."""
        address = f"http://127.0.0.1:{self.ports[of]}{path}"
        sent = None if form is None else urllib.parse.urlencode(form).encode()
        request = urllib.request.Request(address, sent, {"Referer": address})
        try:
            with self.browser.open(request, timeout=30) as answer:
                return answer.status, " ".join(answer.read().decode().split())
        except urllib.error.HTTPError as refused:
            return refused.code, " ".join(refused.read().decode().split())

    def stop(self):
        for one in self.processes:
            one.send_signal(signal.SIGTERM)
        for one in self.processes:
            try:
                one.communicate(timeout=20)
            except subprocess.TimeoutExpired:
                one.kill()
                one.communicate()


@pytest.fixture
def servers(tmp_path):
    """On a database of their own, which goes with them."""
    name = f"rayward_several_{os.getpid()}"
    with connection.cursor() as cursor:
        cursor.execute(f'CREATE DATABASE "{name}"')
    as_set = connection.settings_dict
    database = f"postgres://{as_set['USER']}@{as_set['HOST']}:{as_set['PORT']}/{name}"
    postbox = Postbox()
    postbox.open()
    home = tmp_path / "home"
    home.mkdir()
    several = Servers(home, database, postbox)
    several.postbox, several.database_name = postbox, name
    try:
        yield several
    finally:
        several.stop()
        postbox.close()
        with connection.cursor() as cursor:
            cursor.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')


def fields_of(page):
    return dict(re.findall(r'name="(csrfmiddlewaretoken|once|seen)" value="([^"]+)"', page))


def sign_in(servers):
    """By a link, once: at the first of them, and so at all; the session is a row."""
    said = servers.run("make_link", "jo").split()[-1]
    path = f"/link/{said.rstrip('/').rpartition('/')[2]}/"
    _, page = servers.page(0, path)
    servers.page(0, path, fields_of(page))


def test_three_processes_are_one_program(servers):
    altair, nova = re.search(
        r"keys: (\d+) (\d+)", servers.run("shell", "-v0", "-c", BEGIN)
    ).groups()
    servers.start(3)
    sign_in(servers)
    _one_lineage(servers, altair, nova)
    _lines_that_break(servers)
    until = time.monotonic() + 30  # each looked for digests when it started; one was due
    while not servers.postbox.taken and time.monotonic() < until:
        time.sleep(0.2)
    assert len(servers.postbox.taken) == 1


def _one_lineage(servers, altair, nova):
    """A parent changed at the first: the others reckon with it at once. Sent to two, it is once."""
    for of in range(3):  # now each of them keeps the lineage as it is
        status, page = servers.page(of, f"/animals/{nova}/")
        assert (status, "Nova" in page, "Altair" in page, "25 %" in page) == (200, 1, 1, 0)
    _, page = servers.page(0, f"/animals/{nova}/edit/")
    form = {"call_name": "Nova", "sex": "F", "origin": "unknown", "state": "here"}
    form["dam"] = re.search(r'name="dam".*?<option value="(\d+)" selected', page)[1]
    form |= {"sire": altair, **fields_of(page)}
    with ThreadPoolExecutor(2) as threads:
        answers = list(
            threads.map(lambda of: servers.page(of, f"/animals/{nova}/edit/", form), (0, 1))
        )
    assert [status for status, _ in answers] == [200, 200]
    assert "acts: 1" in servers.run("shell", "-v0", "-c", ACTS)
    for of in range(3):
        _, page = servers.page(of, f"/animals/{nova}/")
        assert "25 %" in page.replace("&nbsp;", " ").replace("\u202f", " ").replace("\xa0", " "), of


def _lines_that_break(servers):
    """As when PostgreSQL is started again under running servers: the next pages are there."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = %s",
            [servers.database_name],
        )
        assert len(cursor.fetchall()) >= 3
    assert [servers.page(of, "/animals/")[0] for of in range(3)] == [200, 200, 200]
