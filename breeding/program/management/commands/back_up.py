"""`manage.py back_up FILE`: everything of the program in one file, while it runs."""

from pathlib import Path
from typing import Any

from django.core.management import CommandError, CommandParser

from breeding.program import clock
from breeding.program.backup.problem import BackupError
from breeding.program.backup.writing import back_up, words_of
from breeding.program.language.commands import SpokenCommand
from breeding.words.language import message, tell, tell_many


class Command(SpokenCommand):
    """Database, files and keys, checked by opening what was written."""

    help = message("Back up database, files and keys into one file, while the program runs.")
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE", help=tell("the file to write, like rays.zip"))
        parser.add_argument(
            "--replace", action="store_true", help=tell("replace FILE when it is there already")
        )

    def handle(self, *args: Any, **options: Any) -> None:
        target = Path(options["file"])
        try:
            manifest = back_up(target, now=clock.now(), replace=options["replace"])
        except BackupError as problem:
            raise CommandError(str(problem)) from None
        self.stdout.write(
            tell(
                "Backed up and checked: {file}, {content}. It holds the keys and the personal data "
                "of buyers: keep it where nobody else reads it, and not on this computer alone.",
                file=target,
                content=words_of(manifest, target.stat().st_size),
            )
        )
        if manifest.missing:
            some = ", ".join(manifest.missing[:3])
            self.stdout.write(
                tell_many(
                    "{number} file that records name was not there to back up: {files}",
                    "{number} files that records name were not there to back up: {files}",
                    len(manifest.missing),
                    files=some,
                )
            )
        if manifest.loose:
            self.stdout.write(
                tell_many(
                    "{number} row points to a row that is not there; it is in it as it is, and "
                    "`manage.py check_records` names it.",
                    "{number} rows point to rows that are not there; they are in it as they are, "
                    "and `manage.py check_records` names them.",
                    manifest.loose,
                )
            )
