"""`manage.py restore FILE`: a backup put back, after saying what it changes; all or nothing."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import CommandError, CommandParser

from breeding.program import clock
from breeding.program.backup.manifest import Counted
from breeding.program.backup.problem import BackupError
from breeding.program.backup.restoring import Plan, plan_restore, restore
from breeding.program.language.commands import SpokenCommand
from breeding.words.days import long_day
from breeding.words.language import message, tell, tell_many


class Command(SpokenCommand):
    """Say what it would change; with --replace, or into an empty directory, do it."""

    help = message("Put a backup back: says what it changes, and does it whole or not at all.")
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE", help=tell("what back_up wrote"))
        parser.add_argument(
            "--replace",
            action="store_true",
            help=tell("put aside what is in the directory, and put the backup in its place"),
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
        self.stdout.write(
            tell("Put back. Start it with: manage.py start --home {place}", place=settings.HOME)
        )
        if aside:
            self.stdout.write(
                tell(
                    "What was there is in {place}. Remove it once you are sure that you need it "
                    "no more: it holds keys and personal data.",
                    place=aside,
                )
            )

    def _say(self, plan: Plan) -> None:
        told = plan.manifest
        made = told.moment.astimezone()
        name = told.program or tell("A program without a name")
        self.stdout.write(
            tell(
                "{program}, backed up on {day} at {time}, by version {version}.",
                program=name,
                day=long_day(made.date()),
                time=f"{made:%H:%M}",
                version=told.version,
            )
        )
        if plan.damaged:
            self.stdout.write(tell("What is here now cannot be counted. {why}", why=plan.damaged))
        here, after = tell("here now"), tell("after")
        newest = tell("newest now -> after")
        self.stdout.write(f"{'':34}{here:>10}{after:>10}   {newest}")
        for one in plan.changes:
            self.stdout.write(
                f"{tell(one.name)[:33]:34}{_rows(one.now):>10}{_rows(one.then):>10}   "
                f"{_newest(one.now)} -> {_newest(one.then)}"
            )
        self.stdout.write(f"{tell('files'):34}{plan.files_now:>10}{len(told.files):>10}")
        if told.missing:
            self.stdout.write(
                tell_many(
                    "{number} file was missing when it was made.",
                    "{number} files were missing when it was made.",
                    len(told.missing),
                )
            )


def _rows(counted: Counted | None) -> str:
    return str(counted.rows) if counted else "-"


def _newest(counted: Counted | None) -> str:
    return (counted and counted.newest) or "-"
