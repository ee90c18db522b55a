"""`manage.py start`: check, migrate, collect static files and serve, in plain words."""

import datetime
import io
import shutil
import signal
import socket
import time
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError, CommandParser, call_command

from breeding.program import background, clock, services
from breeding.program.models import Person
from breeding.program.queries import has_owner, the_program


class Command(BaseCommand):
    """Start the record keeper and keep it running until Ctrl-C."""

    help = "Check, migrate, collect static files, then serve the record keeper."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--demo", action="store_true", help="an invented program in a throw-away directory"
        )
        parser.add_argument("--home", metavar="DIR", help="the data directory to work on")
        parser.add_argument(
            "--listen",
            metavar="ADDRESS:PORT",
            default="127.0.0.1:8000",
            help="where to answer (default 127.0.0.1:8000)",
        )
        parser.add_argument(
            "--name",
            action="append",
            default=[],
            help="a further name or address this server is reached by, as typed on the phone",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        address, port = read_listen(options["listen"])
        for asked_to_stop in (signal.SIGINT, signal.SIGTERM):
            # A shell may start it with Ctrl-C switched off; it stops cleanly all the same.
            signal.signal(asked_to_stop, signal.default_int_handler)
        settings.ALLOWED_HOSTS += options["name"]
        settings.CSRF_TRUSTED_ORIGINS += [f"https://{name}" for name in options["name"]]
        home = Path(settings.HOME)
        try:
            _refuse_a_taken_port(address, port)
            self._prepare(home, demo=options["demo"])
            self._link(address, port)
            self._serve(address, port)
            self.stdout.write("\nStopped.")  # waitress returns when it is asked to stop
        except KeyboardInterrupt:
            self.stdout.write("\nStopped before it answered.")
        finally:
            if options["demo"]:
                shutil.rmtree(home, ignore_errors=True)
                self.stdout.write("The demo's directory is removed.")

    def _prepare(self, home: Path, *, demo: bool) -> None:
        began = time.perf_counter()
        self.stdout.write(
            f"{'The demo lives for this run in' if demo else 'Your data are in'} {home}"
        )
        call_command("check", stdout=io.StringIO())
        call_command("migrate", verbosity=0, interactive=False)
        self._took("Checked, and the database is up to date", began)
        began = time.perf_counter()
        call_command("collectstatic", verbosity=0, interactive=False)
        self._took("Static files are in place", began)
        began = time.perf_counter()
        call_command("load_species", verbosity=0)
        if demo:
            call_command("load_demo", verbosity=0)
            self._took("The invented program is loaded", began)

    def _took(self, what: str, began: float) -> None:
        self.stdout.write(f"{what} ({time.perf_counter() - began:.1f} s).")

    def _link(self, address: str, port: int) -> None:
        shown = "127.0.0.1" if address in ("0.0.0.0", "::") else address  # noqa: S104
        shown = f"[{shown}]" if ":" in shown else shown
        base = f"http://{shown}:{port}/"
        self.stdout.write(f"\nThe record keeper answers at {base}")
        person = None
        if has_owner():
            if not the_program().is_demo:
                self.stdout.write("Sign in with your name and password.")
                return
            person = Person.objects.filter(role=Person.Role.OWNER).order_by("pk").first()
        token = services.make_sign_in_link(
            person, now=clock.now(), good_for=datetime.timedelta(days=1)
        )
        purpose = "Sign in once with" if person else "Name the program and make your account with"
        self.stdout.write(f"{purpose}\n\n    {base}link/{token}/\n")
        if person:
            self.stdout.write(
                f"or any time with the name {person.username} and the password lantern-street."
            )

    def _serve(self, address: str, port: int) -> None:
        from breeding.program.access.door import open_door
        from breeding.wsgi import application

        server = open_door(application, host=address, port=port, threads=6, ident=None)
        self.stdout.write(f"{_mail_words()}\nCtrl-C stops it.")
        self.stdout.flush()
        scheduler = background.start_running()
        try:
            server.run()
        finally:
            server.close()
            scheduler.shutdown()  # a mail that is on its way is seen to its end


def _mail_words() -> str:
    if settings.MAIL:
        return f"Mail goes out through {settings.MAIL.words}."
    return settings.MAIL_PROBLEM or "No mail is sent: RAYWARD_MAIL names no server."


def _refuse_a_taken_port(address: str, port: int) -> None:
    """Say at once, not after the demo has been loaded, that nothing can answer there."""
    try:
        family = socket.AF_INET6 if ":" in address else socket.AF_INET
        with socket.socket(family, socket.SOCK_STREAM) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind((address, port))
    except OSError as problem:
        raise CommandError(
            f"Cannot answer at {address}:{port}: {problem.strerror or problem}. "
            "Choose another with --listen ADDRESS:PORT."
        ) from None


def read_listen(text: str) -> tuple[str, int]:
    """Address and port from ADDRESS:PORT, :PORT or PORT."""
    address, _, port = text.rpartition(":")
    address = address.strip("[]") or "127.0.0.1"
    if not (port.isascii() and port.isdigit()) or not 0 < int(port) < 65536:
        raise CommandError(
            f"--listen {text}: not an address and a port; write it like 127.0.0.1:8000."
        )
    return address, int(port)
