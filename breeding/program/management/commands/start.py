"""`manage.py start`: check, migrate, collect static files and serve, in plain words."""

import datetime
import logging
import shutil
import signal
import socket
import time
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import CommandError, CommandParser, call_command
from django.core.management.sql import emit_post_migrate_signal
from django.db import connection
from django.utils.translation import activate, get_language

from breeding import __version__, home_lock, proxy
from breeding.program import clock, services
from breeding.program.backup import upgrade
from breeding.program.backup.problem import BackupError
from breeding.program.language.chosen import own_language
from breeding.program.language.commands import SpokenCommand
from breeding.program.models import Person
from breeding.program.queries import has_owner, the_program
from breeding.program.serving import background, checks, database, refusals, statics
from breeding.program.serving.turns import BEGINNING, one_after_the_other
from breeding.words.language import message, tell
from breeding.words.numbers import figure
from breeding.words.system import why_refused

log = logging.getLogger(__name__)
DEMO_PASSWORD = "lantern-street"  # noqa: S105 - of invented people, in fixtures/demo/program.json


class Command(SpokenCommand):
    """Start the record keeper and keep it running until Ctrl-C."""

    help = message("Check, migrate, collect static files, then serve the record keeper.")
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--demo",
            action="store_true",
            help=tell("an invented program in a throw-away directory"),
        )
        parser.add_argument("--home", metavar="DIR", help=tell("the data directory to work on"))
        parser.add_argument(
            "--listen",
            metavar="ADDRESS:PORT",
            default="127.0.0.1:8000",
            help=tell("where to answer (default 127.0.0.1:8000)"),
        )
        parser.add_argument(
            "--name",
            action="append",
            default=[],
            help=tell("a further name or address this server is reached by, as typed on the phone"),
        )
        parser.add_argument(
            proxy.OPTION,
            metavar="ADDRESS",
            nargs="?",
            const=proxy.HERE,
            help=tell(
                "a proxy that speaks HTTPS is in front, at this address (127.0.0.1 if none is "
                "given): its word on who asks, and how, is believed"
            ),
        )
        lost = parser.add_mutually_exclusive_group()
        lost.add_argument(
            "--new-sheet-key",
            action="store_true",
            help=tell("make another key for signing sheets when the earlier one is lost for good"),
        )
        lost.add_argument(
            "--without-signing",
            action="store_true",
            help=tell("start although the key for signing sheets is lost; no sheets are issued"),
        )

    def handle(self, *args: Any, **options: Any) -> None:
        address, port = read_listen(options["listen"])
        for asked_to_stop in (signal.SIGINT, signal.SIGTERM):
            # A shell may start it with Ctrl-C switched off; it stops cleanly all the same.
            signal.signal(asked_to_stop, signal.default_int_handler)
        settings.ALLOWED_HOSTS += options["name"]
        settings.CSRF_TRUSTED_ORIGINS += [f"https://{name}" for name in options["name"]]
        _refuse_a_proxy_without_a_name(options["name"])
        home = Path(settings.HOME)
        asked = refusals.Asked(home, options["new_sheet_key"], options["without_signing"])
        try:
            _refuse_a_taken_port(address, port)
            refusals.check_the_home(home)
            _take_the_home(home, f"{address}:{port}")
            self._prepare(asked, demo=options["demo"])
            activate(own_language(the_program()) or get_language() or settings.LANGUAGE_CODE)
            self._link(self._base(address, port, options["name"]))
            self._serve(address, port)
            self.stdout.write(f"\n{tell('Stopped.')}")  # waitress returns when it is asked to stop
        except KeyboardInterrupt:
            self.stdout.write(f"\n{tell('Stopped before it answered.')}")
        except OSError as problem:
            if problem.errno not in refusals.DISK_ERRORS:
                raise
            raise CommandError(refusals.disk_words(home, problem)) from None
        finally:
            if options["demo"]:
                shutil.rmtree(home, ignore_errors=True)
                self.stdout.write(tell("The demo's directory is removed."))

    def _prepare(self, asked: refusals.Asked, *, demo: bool) -> None:
        began = time.perf_counter()
        self.stdout.write(f"Rayward {__version__}")
        self.stdout.write(
            tell("The demo lives for this run in {place}", place=asked.home)
            if demo
            else tell("Your data are in {place}", place=asked.home)
        )
        checks.check_aside()
        with one_after_the_other(BEGINNING):
            refusals.check_the_database()
            self._migrate()
            refusals.check_it_is_whole()
            refusals.ask_the_rooms(asked)
            self._took(tell("Checked, and the database is up to date"), began)
            began = time.perf_counter()
            statics.put_in_place()
            self._took(tell("Static files are in place"), began)
            began = time.perf_counter()
            call_command("load_species", verbosity=0)
        if demo:
            self.stdout.write(tell("The invented program is being written: a minute or two."))
            self.stdout.flush()
            call_command("load_demo", verbosity=0)
            self._took(tell("The invented program is loaded"), began)

    def _migrate(self) -> None:
        """What a new version changes in records that are there is backed up first."""
        if database.is_of_this_version():
            self._put_right_what_follows()
            return
        try:
            kept = upgrade.back_up_first(now=clock.now())
        except BackupError as problem:
            raise CommandError(
                tell(
                    "The records are of an earlier version and must be changed, but they could not "
                    "be backed up first, so nothing was changed. {why}",
                    why=problem,
                )
            ) from None
        try:
            call_command("migrate", verbosity=0, interactive=False)
        except Exception as problem:
            if kept is None:
                raise
            raise CommandError(
                tell("The records could not be changed for this version: {why}", why=problem)
                + f"\n{upgrade.words_to_go_back(kept)}"
            ) from problem
        if kept:
            self.stdout.write(upgrade.words_to_go_back(kept))

    def _put_right_what_follows(self) -> None:
        """What is made after the tables (triggers, the index, permissions), where it lacks."""
        emit_post_migrate_signal(verbosity=0, interactive=False, db=connection.alias)

    def _took(self, what: str, began: float) -> None:
        self.stdout.write(f"{what} ({figure(time.perf_counter() - began, 1)} s).")

    def _base(self, address: str, port: int, names: list[str]) -> str:
        """Where a person opens it: through the proxy, if there is one."""
        if settings.BEHIND_PROXY:
            return f"https://{[*names, *settings.NAMES][0]}/"
        shown = "127.0.0.1" if address in ("0.0.0.0", "::") else address  # noqa: S104
        shown = f"[{shown}]" if ":" in shown else shown
        return f"http://{shown}:{port}/"

    def _link(self, base: str) -> None:
        self.stdout.write("\n" + tell("The record keeper answers at {address}", address=base))
        person = None
        if has_owner():
            if not the_program().is_demo:
                self.stdout.write(tell("Sign in with your name and password."))
                return
            person = Person.objects.filter(role=Person.Role.OWNER).order_by("pk").first()
        token = services.make_sign_in_link(
            person, now=clock.now(), good_for=datetime.timedelta(days=1)
        )
        purpose = (
            tell("Sign in once with")
            if person
            else tell("Name the program and make your account with")
        )
        self.stdout.write(f"{purpose}\n\n    {base}link/{token}/\n")
        if person and person.check_password(DEMO_PASSWORD):  # it may have been changed since
            self.stdout.write(
                tell(
                    "or any time with the name {name} and the password {password}.",
                    name=person.username,
                    password=DEMO_PASSWORD,
                )
            )

    def _serve(self, address: str, port: int) -> None:
        from breeding.program.access.door import open_door
        from breeding.wsgi import application

        connection.close()  # each thread has its own; this one only waits from now on
        server = open_door(
            application,
            host=address,
            port=port,
            threads=6,
            ident=None,
            **proxy.for_waitress(settings.BEHIND_PROXY),
        )
        log.info("Rayward %s answers at %s:%s", __version__, address, port)
        self.stdout.write(f"{_mail_words()}\n{tell('Ctrl-C stops it.')}")
        self.stdout.flush()
        scheduler = background.start_running()
        try:
            server.run()
        finally:
            server.close()
            log.info("Stopped")
            background.stop_running(scheduler)  # a mail that is on its way is seen to its end


def _take_the_home(home: Path, at: str) -> None:
    """Two servers on one SQLite file would each think they are alone; PostgreSQL takes several."""
    try:
        home_lock.take(
            home,
            message("a server at {of}"),
            of=at,
            beside_others=connection.vendor != "sqlite",
        )
    except home_lock.HomeTakenError as taken:
        raise CommandError(str(taken)) from None


def _mail_words() -> str:
    if settings.MAIL:
        return tell("Mail is sent through {server}.", server=settings.MAIL.words)
    return str(settings.MAIL_PROBLEM) or tell("No mail is sent: RAYWARD_MAIL names no server.")


def _refuse_a_proxy_without_a_name(names: list[str]) -> None:
    if settings.BEHIND_PROXY and not [*names, *settings.NAMES]:
        raise CommandError(
            tell(
                "{option} needs the name that is typed in a browser: add --name rays.example.org "
                "with your own.",
                option=proxy.OPTION,
            )
        )


def _refuse_a_taken_port(address: str, port: int) -> None:
    """Say at once, not after the demo has been loaded, that nothing can answer there."""
    try:
        family = socket.AF_INET6 if ":" in address else socket.AF_INET
        with socket.socket(family, socket.SOCK_STREAM) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind((address, port))
    except OSError as problem:
        raise CommandError(
            tell(
                "Cannot answer at {address}:{port}: {why}. Choose another with --listen "
                "ADDRESS:PORT.",
                address=address,
                port=port,
                why=why_refused(problem),
            )
        ) from None


def read_listen(text: str) -> tuple[str, int]:
    """Address and port from ADDRESS:PORT, :PORT or PORT."""
    address, _, port = text.rpartition(":")
    address = address.strip("[]") or "127.0.0.1"
    if not (port.isascii() and port.isdigit()) or not 0 < int(port) < 65536:
        raise CommandError(
            tell(
                "--listen {value}: not an address and a port; write it like 127.0.0.1:8000.",
                value=text,
            )
        )
    return address, int(port)
