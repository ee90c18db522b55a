"""`manage.py kin A B`: how near kin the animals of two signed files, or of their codes, are."""

from typing import Any

from django.core.management import CommandError, CommandParser

from breeding.exchange.ancestry import Word, lines_of
from breeding.exchange.codes.named import files_named
from breeding.exchange.files import read_given
from breeding.exchange.kin import LineageError, kin_of_two
from breeding.program.language.commands import SpokenCommand
from breeding.sheets.sealing.key_said import said_of_key
from breeding.sheets.sealing.seal import fingerprint
from breeding.words.language import message, tell, tell_many


class Command(SpokenCommand):
    """Needs neither the database nor a network."""

    help = message("Say how near kin the animals of two signed files of ancestry are.")
    requires_system_checks: list[str] = []
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "files",
            metavar="FILE",
            nargs="+",
            help=tell("a signed file of ancestry, a sheet (PDF), or pictures of their codes"),
        )

    def handle(self, *args: Any, **options: Any) -> None:
        named = files_named(options["files"])
        if len(named) != 2:
            raise CommandError(
                tell_many(
                    "This is {number} file of ancestry; two are compared.",
                    "These are {number} files of ancestry; two are compared.",
                    len(named),
                )
            )
        words = [self._read(name, content) for name, content in named]
        for (name, _), word in zip(named, words, strict=True):
            self.stdout.write(
                tell(
                    "{file}: unaltered, signed with the key {key}, which calls itself {issuer}.",
                    file=name,
                    key=fingerprint(word.key),
                    issuer=word.issuer or "-",
                )
            )
            said = said_of_key(word.key, word.issued_on, lines_of(words))
            self.stdout.write(f"  {said.words}")
            if said.is_bad:
                raise CommandError(
                    tell("{file} is not to be relied on, so nothing is said of kin.", file=name)
                )
        try:
            found = kin_of_two(words[0], words[1])
        except LineageError as problem:
            raise CommandError(str(problem)) from None
        for one in found:
            self.stdout.write(one.sentence)

    def _read(self, name: str, content: bytes) -> Word:
        try:
            return read_given(content)
        except ValueError as problem:
            raise CommandError(f"{name}: {problem}") from None
