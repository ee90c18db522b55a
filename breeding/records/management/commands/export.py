"""`manage.py export FILE.zip`: the whole program in one file, in open formats."""

from pathlib import Path
from typing import Any

from django.core.management import CommandError, CommandParser

from breeding.program import clock
from breeding.program.language.commands import SpokenCommand
from breeding.records.archive.writing import write_whole_file
from breeding.words.language import message, tell, tell_many
from breeding.words.system import why_refused


class Command(SpokenCommand):
    help = message(
        "Write everything the program holds into one file: tables, pictures, papers, history."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE.zip", help=tell("where to write it"))
        parser.add_argument(
            "--with-keys",
            action="store_true",
            help=tell("also what opens the program and signs its sheets: keep the file like a key"),
        )

    def handle(self, *args: Any, **options: Any) -> None:
        place, with_keys = Path(options["file"]), options["with_keys"]
        try:
            made = write_whole_file(place, now=clock.now(), with_keys=with_keys)
        except FileExistsError:
            raise CommandError(
                tell("{file} is there already, and stays as it is; name a new file.", file=place)
            ) from None
        except OSError as problem:
            raise CommandError(
                tell("{file} cannot be written: {why}.", file=place, why=why_refused(problem))
            ) from None
        self.stdout.write(
            tell(
                "{file}: {records} and {files} of its own.",
                file=place,
                records=tell_many("{number} record", "{number} records", made.rows),
                files=tell_many("{number} file", "{number} files", made.files),
            )
        )
        for path in made.missing:
            self.stdout.write(tell("{file} is named by a record, and is not there.", file=path))
        self.stdout.write(_of_keys(with_keys))


def _of_keys(with_keys: bool) -> str:
    if with_keys:
        return tell(
            "It holds the keys: whoever has this file can sign in, and sign sheets in your name."
        )
    return tell("No passwords and no keys are in it; --with-keys adds them.")
