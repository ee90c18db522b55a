"""Real processes on a real database: killed while they send, and two at once."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.agenda.postbox import Postbox
from tests.as_it_was import migrate

ROOT = Path(__file__).resolve().parent.parent.parent
# Whoever is bitten and still with him stands in a mail every day.
BEGIN = """
import datetime
from django.core.management import call_command
call_command("migrate", verbosity=0)
call_command("load_species", verbosity=0)
from breeding.agenda.services import choose_digest
from tests import cast
jo, mira = cast.owner(), cast.female("Mira")
cast.pair(mira, cast.male("Deneb"), 10)
cast.see(mira, 1, "fresh_bite_marks", severity=3)
choose_digest(jo, is_on=True, email="jo@example.org", hour=0,
              now=datetime.datetime.now(datetime.UTC) - datetime.timedelta(days=2))
"""
AGAIN = """
from django.core.management import call_command
call_command("remind", at="{at}")
"""
STATE = """
from breeding.agenda.models import Mailing
print("states:", *[one.state for one in Mailing.objects.order_by("day")])
"""


class Killer(Postbox):
    """Takes the mail and then kills whoever has sent it, before saying that it is taken."""

    victim: subprocess.Popen | None = None

    async def handle_DATA(self, server, session, envelope):  # noqa: N802
        answer = await super().handle_DATA(server, session, envelope)
        if self.victim is not None:
            os.kill(self.victim.pid, signal.SIGKILL)
            self.victim.wait(30)
        return answer


class House:
    """A program of its own in a directory of its own, worked on by commands."""

    def __init__(self, home, postbox):
        self.environment = {
            **os.environ,
            "RAYWARD_HOME": str(home),
            "RAYWARD_MAIL": f"smtp://127.0.0.1:{postbox.port}",
            "RAYWARD_MAIL_FROM": "rays@example.org",
        }
        for other in ("DJANGO_SETTINGS_MODULE", "RAYWARD_DATABASE"):
            self.environment.pop(other, None)
        home.mkdir(mode=0o700)
        migrate(home)

    def begin(self, *arguments):
        return subprocess.Popen(
            [sys.executable, "manage.py", *arguments],
            cwd=ROOT,
            env=self.environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )

    def run(self, *arguments):
        said, _ = self.begin(*arguments).communicate(timeout=120)
        return said


@pytest.fixture(scope="module")
def house_and_postbox(tmp_path_factory):
    postbox = Killer()
    postbox.open()
    house = House(tmp_path_factory.mktemp("remind") / "home", postbox)
    assert "Error" not in house.run("shell", "-v0", "-c", BEGIN)
    yield house, postbox
    postbox.close()


@pytest.fixture
def tomorrow():
    """Days by the program's clock, ahead of every other test."""
    import datetime

    def day(ahead):
        return (datetime.date.today() + datetime.timedelta(days=ahead)).isoformat()

    return day


def test_one_killed_after_the_server_took_the_mail_never_sends_it_twice(
    house_and_postbox, tomorrow
):
    house, postbox = house_and_postbox
    postbox.taken.clear()
    postbox.victim = house.begin("remind", "--at", f"{tomorrow(2)}T07:00")
    assert postbox.victim.wait(60) == -signal.SIGKILL
    postbox.victim.stdout.close()
    postbox.victim = None
    assert len(postbox.taken) == 1
    assert "states: handing_over" in house.run("shell", "-v0", "-c", STATE)
    later = "".join(
        AGAIN.format(at=f"{tomorrow(2)}T{time}") for time in ("07:01", "07:16", "12:00")
    )
    said = house.run("shell", "-v0", "-c", later + STATE)
    assert "sent" not in said
    assert "states: unsure" in said
    assert len(postbox.taken) == 1
    assert "Jo: sent" in house.run("remind", "--at", f"{tomorrow(3)}T07:00")
    assert len(postbox.taken) == 2
    assert postbox.taken[0]["Message-ID"] != postbox.taken[1]["Message-ID"]


def test_two_at_once_send_one_mail(house_and_postbox, tomorrow):
    house, postbox = house_and_postbox
    postbox.taken.clear()
    both = [house.begin("remind", "--at", f"{tomorrow(12)}T07:00") for _ in range(2)]
    said = [one.communicate(timeout=120)[0] for one in both]
    assert len(postbox.taken) == 1, said
    assert sum("Jo: sent" in one for one in said) == 1, said
