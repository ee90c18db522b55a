"""`manage.py restore FILE`: a backup put back, after saying what it changes; all or nothing."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError, CommandParser

from breeding.program import clock
from breeding.program.backup.manifest import Counted
from breeding.program.backup.problem import BackupError
from breeding.program.backup.restoring import Plan, plan_restore, restore
from breeding.words.days import long_day


class Command(BaseCommand):
    """Say what it would change; with --replace, or into an empty directory, do it."""

    help = "Put a backup back: says what it changes, and does it whole or not at all."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE", help="what back_up wrote")
        parser.add_argument(
            "--replace",
            action="store_true",
            help="put aside what is in the directory, and put the backup in its place",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        archive = Path(options["file"]).expanduser().absolute()
        try:
            self._say(plan_restore(archive))
            aside = restore(
                archive, now=clock.now(), today=clock.today(), replace=options["replace"]
            )
        except BackupError as problem:
            raise CommandError(str(problem)) from None
        self.stdout.write(f"Put back, into {settings.HOME}. Start it as ever: manage.py start.")
        if aside:
            self.stdout.write(
                f"What was there is in {aside}. Remove it once you are sure that you need it no "
                "more: it holds keys and personal data."
            )

    def _say(self, plan: Plan) -> None:
        told = plan.manifest
        made = told.moment.astimezone()
        name = told.program or "A program without a name"
        self.stdout.write(
            f"{name}, backed up on {long_day(made.date())} at {made:%H:%M}, by version "
            f"{told.version}."
        )
        if plan.damaged:
            self.stdout.write(f"What is here now cannot be counted. {plan.damaged}")
        self.stdout.write(f"{'':34}{'here now':>10}{'after':>10}   newest now -> after")
        for one in plan.changes:
            self.stdout.write(
                f"{one.name[:33]:34}{_rows(one.now):>10}{_rows(one.then):>10}   "
                f"{_newest(one.now)} -> {_newest(one.then)}"
            )
        self.stdout.write(f"{'files':34}{plan.files_now:>10}{len(told.files):>10}")
        if told.missing:
            self.stdout.write(f"{len(told.missing)} files were missing when it was made.")


def _rows(counted: Counted | None) -> str:
    return str(counted.rows) if counted else "-"


def _newest(counted: Counted | None) -> str:
    return (counted and counted.newest) or "-"
