"""`manage.py back_up FILE`: everything of the program in one file, while it runs."""

from pathlib import Path
from typing import Any

from django.core.management import BaseCommand, CommandError, CommandParser

from breeding.program import clock
from breeding.program.backup.problem import BackupError
from breeding.program.backup.writing import back_up, words_of


class Command(BaseCommand):
    """Database, files and keys, checked by opening what was written."""

    help = "Back up database, files and keys into one file, while the program runs."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE", help="the file to write, like rays.zip")
        parser.add_argument(
            "--replace", action="store_true", help="replace FILE when it is there already"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        target = Path(options["file"])
        try:
            manifest = back_up(target, now=clock.now(), replace=options["replace"])
        except BackupError as problem:
            raise CommandError(str(problem)) from None
        self.stdout.write(
            f"Backed up and checked: {target}, {words_of(manifest, target.stat().st_size)}. It "
            "holds the keys and the personal data of buyers: keep it where nobody else reads it, "
            "and not on this computer alone."
        )
        if manifest.missing:
            some = ", ".join(manifest.missing[:3])
            self.stdout.write(
                f"{len(manifest.missing)} files that records name were not there to back up: {some}"
            )
        if manifest.loose:
            self.stdout.write(
                f"{manifest.loose} rows point to rows that are not there; they are in it as they "
                "are, and `manage.py check_records` names them."
            )
