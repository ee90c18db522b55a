"""`manage.py verify FILE`: whether a sheet or an ancestry is as it was signed, by itself."""

from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import CommandError, CommandParser

from breeding import home
from breeding.exchange.ancestry import NeverSigned, Refused, read_word
from breeding.exchange.codes.named import files_named
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
from breeding.sheets.sealing.seal import fingerprint
from breeding.words.days import long_day
from breeding.words.language import message, tell, tell_many
from breeding.words.numbers import joined

ALTERED, NO_SHEET, OTHER_KEY, BAD_KEY = 1, 2, 3, 4


class Command(SpokenCommand):
    """Needs neither the database nor a network.

    It ends with 0 when the file is unaltered and signed with the key asked for, this program's, or
    one that took the place of such a key or gave it up to it; with 1 when it was altered, 2 when it
    is no signed sheet or cannot be read, 3 when it is unaltered but signed with a key not known
    here, 4 when its owner disowned the key, or two keys claim its place, or it was given up before.
    """

    help = message(
        "Say whether a parentage sheet (PDF), a signed ancestry or pictures of its codes are "
        "unaltered, and whose key signed it."
    )
    requires_system_checks: list[str] = []
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "files",
            metavar="FILE",
            nargs="+",
            help=tell("the file as it was received; several are pictures of its codes"),
        )
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
        named = files_named(options["files"], returncode=NO_SHEET)
        if len(named) != 1:
            raise CommandError(
                tell("These are {number} files; one is checked at a time.", number=len(named)),
                returncode=NO_SHEET,
            )
        name, content = named[0]
        if content[:1] == b"{":
            self._handle_ancestry(name, content, options)
            return
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
        passed_on: list[KeyWord] = []
        with suppress(NotAKeyWord):
            passed_on += read_key_words(found.ancestry.get("keys", []))
        lines = self._lines(options["keys"], passed_on)
        self._say(found)
        on = found.facts.issued_on.isoformat()
        self._say_whose(found.seal.public_key, on, options["key"], lines)

    def _handle_ancestry(self, name: str, content: bytes, options: dict[str, Any]) -> None:
        try:
            word = read_word(content)
        except NeverSigned as problem:
            raise CommandError(
                tell("{file} is no signed sheet. {why}", file=name, why=problem),
                returncode=NO_SHEET,
            ) from None
        except Refused as problem:
            raise CommandError(
                tell(
                    "ALTERED: {file} is not the file that was issued. {why}", file=name, why=problem
                ),
                returncode=ALTERED,
            ) from None
        lines = self._lines(options["keys"], word.keys)
        self.stdout.write(
            tell_many(
                "Unaltered: the ancestry of {number} animal, by {issuer}, issued {day}",
                "Unaltered: the ancestry of {number} animals, by {issuer}, issued {day}",
                len(word.claims),
                issuer=word.issuer or "-",
                day=word.issued_on,
            )
        )
        self.stdout.write(tell("Signed with the key {key}", key=fingerprint(word.key)))
        self._say_whose(word.key, word.issued_on, options["key"], lines)

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

    def _lines(self, names: list[str], passed_on: Iterable[KeyWord]) -> KeyLines:
        """What the files named say of keys, and what the file checked passes on."""
        words: list[KeyWord] = [*passed_on]
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
        return NO_LINES.with_words(words)

    def _say_whose(self, key: str, on: str, asked: str, lines: KeyLines) -> None:
        """A name in a file proves nothing; a key known from elsewhere does."""
        own = self._own_key()
        shown = fingerprint(key)
        told = {asked_key: tell("the key asked for")} if (asked_key := _grouped(asked)) else {}
        said = said_of_key(
            key,
            on,
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
