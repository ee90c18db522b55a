"""`manage.py export FILE.zip`: the whole program in one file, in open formats."""

from pathlib import Path
from typing import Any

from django.core.management import BaseCommand, CommandError, CommandParser

from breeding.program import clock
from breeding.records.archive.writing import write_whole_file
from breeding.words.numbers import counted


class Command(BaseCommand):
    help = "Write everything the program holds into one file: tables, pictures, papers, history."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE.zip", help="where to write it")
        parser.add_argument(
            "--with-keys",
            action="store_true",
            help="also what opens the program and signs its sheets: keep the file like a key",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        place, with_keys = Path(options["file"]), options["with_keys"]
        try:
            made = write_whole_file(place, now=clock.now(), with_keys=with_keys)
        except FileExistsError:
            raise CommandError(
                f"{place} is there already, and stays as it is; name a new file."
            ) from None
        except OSError as problem:
            raise CommandError(f"{place} cannot be written: {problem.strerror}.") from None
        records = counted(made.rows, "record")
        self.stdout.write(f"{place}: {records} and {counted(made.files, 'file')} of its own.")
        for path in made.missing:
            self.stdout.write(f"{path} is named by a record, and is not there.")
        self.stdout.write(_of_keys(with_keys))


def _of_keys(with_keys: bool) -> str:
    if with_keys:
        return "It holds the keys: whoever has this file can sign in, and sign sheets in your name."
    return "No passwords and no keys are in it; --with-keys adds them."
