"""`manage.py load_export FILE.zip --home DIR`: an archive becomes the program of an empty home."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import CommandError, CommandParser

from breeding.program.language.commands import SpokenCommand
from breeding.records.archive.loading import Loaded, load_archive
from breeding.records.archive.reading import ArchiveError
from breeding.words.language import message, tell, tell_many


class Command(SpokenCommand):
    help = message(
        "Fill an empty program (--home DIR) from a file that export wrote: all of it or nothing."
    )
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE.zip", help=tell("what export wrote"))

    def handle(self, *args: Any, **options: Any) -> None:
        place = Path(options["file"]).expanduser().absolute()
        try:
            loaded = load_archive(place)
        except ArchiveError as problem:
            raise CommandError(
                tell("Nothing was loaded from {file}. {why}", file=place, why=problem)
            ) from None
        except OSError as problem:
            raise CommandError(tell("Nothing was loaded: {why}.", why=problem)) from None
        self._say(loaded)

    def _say(self, loaded: Loaded) -> None:
        self.stdout.write(
            tell(
                "Loaded into {place}: {records} and {files}.",
                place=settings.HOME,
                records=tell_many("{number} record", "{number} records", loaded.rows),
                files=tell_many("{number} file", "{number} files", loaded.files),
            )
        )
        for path in loaded.missing:
            self.stdout.write(
                tell("{file} is named by a record, and was gone when it was written.", file=path)
            )
        if loaded.with_keys:
            self.stdout.write(
                tell("With its keys: passwords, calendars and signatures go on as before.")
            )
        else:
            self.stdout.write(
                tell(
                    "No passwords came with it: make_link NAME makes a link to sign in with. "
                    "Calendars need their address anew. Where sheets were issued, start asks for "
                    "their key, or for --new-sheet-key."
                )
            )
