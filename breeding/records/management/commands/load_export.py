"""`manage.py load_export FILE.zip --home DIR`: an archive becomes the program of an empty home."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError, CommandParser

from breeding.records.archive.loading import Loaded, load_archive
from breeding.records.archive.reading import ArchiveError
from breeding.words.numbers import counted


class Command(BaseCommand):
    help = "Fill an empty program (--home DIR) from a file that export wrote: all of it or nothing."
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE.zip", help="what export wrote")

    def handle(self, *args: Any, **options: Any) -> None:
        place = Path(options["file"]).expanduser().absolute()
        try:
            loaded = load_archive(place)
        except ArchiveError as problem:
            raise CommandError(f"Nothing was loaded from {place}. {problem}") from None
        except OSError as problem:
            raise CommandError(f"Nothing was loaded: {problem}.") from None
        self._say(loaded)

    def _say(self, loaded: Loaded) -> None:
        records = counted(loaded.rows, "record")
        self.stdout.write(
            f"Loaded into {settings.HOME}: {records} and {counted(loaded.files, 'file')}."
        )
        for path in loaded.missing:
            self.stdout.write(f"{path} is named by a record, and was gone when it was written.")
        if loaded.with_keys:
            self.stdout.write("With its keys: passwords, calendars and signatures go on as before.")
        else:
            self.stdout.write(
                "No passwords came with it: make_link NAME makes a link to sign in with. Calendars "
                "need their address anew. Where sheets were issued, start asks for their key, or "
                "for --new-sheet-key."
            )
