"""`manage.py verify FILE.pdf`: whether a sheet is as it was issued, from the file alone."""

from contextlib import suppress
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import CommandError, CommandParser

from breeding import home
from breeding.program.language.commands import SpokenCommand
from breeding.sheets.sealing.attachment import NotASheet
from breeding.sheets.sealing.check import Altered, CheckedSheet, check_file
from breeding.sheets.sealing.key_lines import NO_LINES, KeyLines
from breeding.sheets.sealing.key_said import said_of_key
from breeding.sheets.sealing.key_words import (
    MOST_BYTES,
    KeyWord,
    NotAKeyWord,
    read_key_file,
    read_key_words,
)
from breeding.words.days import long_day
from breeding.words.language import message, tell
from breeding.words.numbers import joined

ALTERED, NO_SHEET, OTHER_KEY, BAD_KEY = 1, 2, 3, 4
LARGEST_BYTES = 20_000_000


class Command(SpokenCommand):
    """Needs neither the database nor a network.

    It ends with 0 when the file is unaltered and signed with the key asked for, this program's, or
    one that took the place of such a key or gave it up to it; with 1 when it was altered, 2 when it
    is no signed sheet or cannot be read, 3 when it is unaltered but signed with a key not known
    here, 4 when its owner disowned the key, or two keys claim its place, or it was given up before.
    """

    help = message("Say whether a parentage sheet (PDF) is unaltered, and whose key signed it.")
    requires_system_checks: list[str] = []
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", metavar="FILE.pdf", help=tell("the sheet as it was received"))
        parser.add_argument(
            "--key",
            metavar="FINGERPRINT",
            default="",
            help=tell("the breeder's fingerprint, as known from elsewhere than the file"),
        )

        parser.add_argument(
            "--keys",
            metavar="KEYS.json",
            action="append",
            default=[],
            help=tell("what breeders have signed about their keys; may be given several times"),
        )

    def handle(self, *args: Any, **options: Any) -> None:
        name = options["file"]
        try:
            with Path(name).open("rb") as file:
                content = file.read(LARGEST_BYTES + 1)
        except OSError as problem:
            raise CommandError(
                tell("{file} cannot be read: {why}.", file=name, why=problem.strerror),
                returncode=NO_SHEET,
            ) from None
        try:
            found = check_file(content)
        except NotASheet as problem:
            raise CommandError(
                tell("{file} is no signed sheet. {why}", file=name, why=problem),
                returncode=NO_SHEET,
            ) from None
        except Altered as problem:
            raise CommandError(
                tell(
                    "ALTERED: {file} is not the file that was issued. {why}", file=name, why=problem
                ),
                returncode=ALTERED,
            ) from None
        lines = self._lines(options["keys"], found)
        self._say(found)
        self._say_whose(found, options["key"], lines)

    def _say(self, found: CheckedSheet) -> None:
        facts = found.facts
        on = long_day(facts.issued_on)
        self.stdout.write(tell("Unaltered: {sheet}, issued {day}", sheet=facts.title, day=on))
        lines = [
            tell(
                "by {person}, which calls itself {program}",
                person=facts.issued_by,
                program=facts.program_name,
            ),
            tell(
                "for {animal} ({sex}); sire {sires}, dam {dam}",
                animal=facts.animal.shown_name,
                sex=facts.animal.sex_words,
                sires=joined([one.shown_name for one in facts.sires], "or"),
                dam=facts.dam.shown_name,
            ),
        ]
        if facts.corrects:
            lines.append(tell("in place of sheet {number}", number=facts.corrects))
        for line in lines:
            self.stdout.write(f"  {line}")
        self.stdout.write(tell("Signed with the key {key}", key=found.seal.fingerprint))

    def _lines(self, names: list[str], found: CheckedSheet) -> KeyLines:
        """What the files named say of keys, and what the sheet passes on with its ancestry."""
        words: list[KeyWord] = []
        for name in names:
            try:
                with Path(name).open("rb") as file:
                    words += read_key_file(file.read(MOST_BYTES + 1))
            except OSError as problem:
                raise CommandError(
                    tell("{file} cannot be read: {why}.", file=name, why=problem.strerror),
                    returncode=NO_SHEET,
                ) from None
            except NotAKeyWord as problem:
                raise CommandError(f"{name}: {problem}", returncode=NO_SHEET) from None
        with suppress(NotAKeyWord):
            words += read_key_words(found.ancestry.get("keys", []))
        return NO_LINES.with_words(words)

    def _say_whose(self, found: CheckedSheet, asked: str, lines: KeyLines) -> None:
        """A name in a file proves nothing; a key known from elsewhere does."""
        key, own = found.seal.public_key, self._own_key()
        shown = found.seal.fingerprint
        told = {asked_key: tell("the key asked for")} if (asked_key := _grouped(asked)) else {}
        said = said_of_key(
            key,
            found.facts.issued_on.isoformat(),
            lines.with_words([], filter(None, (key, own))),
            own=[own] if own and not asked else [],
            told=told,
        )
        if said.is_bad:
            raise CommandError(said.words, returncode=BAD_KEY)
        if asked and not said.is_known:
            raise CommandError(
                tell("This is not the key asked for, {key}.", key=asked), returncode=OTHER_KEY
            )
        if asked and asked_key == shown:
            self.stdout.write(tell("This is the key asked for."))
        elif said.is_known:
            self.stdout.write(said.words)
        else:
            raise CommandError(said.words, returncode=OTHER_KEY)
        self.stdout.write(
            tell(
                "Whether it was withdrawn or replaced since, only its link can say; whether its "
                "facts are true, only the breeder can."
            )
        )

    def _own_key(self) -> str:
        try:
            key = home.sheet_key(Path(settings.HOME))
        except (OSError, ValueError) as problem:
            self.stderr.write(tell("This program's own key cannot be read: {why}", why=problem))
            return ""
        return key.public_key().public_bytes_raw().hex() if key else ""


def _grouped(asked: str) -> str:
    """A fingerprint as typed, as it is shown."""
    figures = "".join(asked.split()).lower()
    return " ".join(figures[place : place + 4] for place in range(0, len(figures), 4))
