"""Bring the catalogs of all languages in step with what the program says."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError

from breeding.program.language.collecting import collect, problems
from breeding.program.language.commands import SpokenCommand
from breeding.program.language.sources import ORDER
from breeding.program.language.unmarked import unmarked as lines_unmarked
from breeding.words.language import message, tell


class Command(SpokenCommand):
    help = message(
        "Write what the program says into the catalogs (breeding/<room>/locale/<language>.po), "
        "where it is translated. For whoever changes its sentences or adds a language."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("rooms", nargs="*", metavar="ROOM", help=tell("only these; else all"))
        parser.add_argument("--also", default="", metavar="CODE", help=tell("begin this language"))
        parser.add_argument(
            "--check", default="", metavar="CODE", help=tell("only say what is wrong")
        )
        parser.add_argument(
            "--unmarked", action="store_true", help=tell("only list words that no catalog can hold")
        )

    def handle(self, *, rooms: list[str], also: str, check: str, unmarked: bool, **_: Any) -> None:
        if strange := sorted(set(rooms) - set(ORDER)):
            raise CommandError(f"“{strange[0]}” is no room; there are {', '.join(ORDER)}.")
        if unmarked:
            for line in lines_unmarked(rooms or ORDER):
                self.stdout.write(line)
        elif check:
            wrong = list(problems(check))
            for line in wrong:
                self.stdout.write(line)
            if wrong:
                raise CommandError(f"{len(wrong)} of the messages are not right.")
        else:
            for code, missing in collect(rooms, also=also).items():
                self.stdout.write(f"{code}: {missing} messages are not translated.")
