"""`manage.py load_demo`: write the invented demonstration into an empty database."""

import datetime
import time
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management import CommandError, CommandParser

from breeding.animals.models import Animal
from breeding.demo.program import load_demo
from breeding.program.language.commands import SpokenCommand
from breeding.words.language import message, tell
from breeding.words.numbers import figure


def read_day(text: str) -> datetime.date:
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        raise CommandError(
            tell(
                "--today {value}: not a day; write it like 2027-03-14 (year-month-day).",
                value=text,
            )
        ) from None


class Command(SpokenCommand):
    help = message(
        "Write the invented demonstration into an empty database, as it stands on a day."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--today",
            metavar="YYYY-MM-DD",
            help=tell("the day to count back from (default: today)"),
        )

    def handle(self, *args: Any, **options: Any) -> None:
        today = read_day(options["today"]) if options["today"] else None
        began = time.perf_counter()
        try:
            written = load_demo(today)
        except ValidationError as problem:
            raise CommandError(" ".join(problem.messages)) from None
        if not options["verbosity"]:
            return
        if not written:
            self.stdout.write(tell("The demonstration is there already; nothing was changed."))
            return
        self.stdout.write(
            tell(
                "The demonstration is written: {number} animals ({seconds} s).",
                number=Animal.objects.count(),
                seconds=figure(time.perf_counter() - began, 1),
            )
        )
