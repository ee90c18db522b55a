"""`manage.py load_demo`: write the invented demonstration into an empty database."""

import datetime
import time
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management import BaseCommand, CommandError, CommandParser

from breeding.animals.models import Animal
from breeding.demo.program import load_demo


def read_day(text: str) -> datetime.date:
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        raise CommandError(
            f"--today {text}: not a day; write it like 2027-03-14 (year-month-day)."
        ) from None


class Command(BaseCommand):
    help = "Write the invented demonstration into an empty database, as it stands on a day."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--today", metavar="YYYY-MM-DD", help="the day to count back from (default: today)"
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
            self.stdout.write("The demonstration is there already; nothing was changed.")
            return
        self.stdout.write(
            f"The demonstration is written: {Animal.objects.count()} animals "
            f"({time.perf_counter() - began:.1f} s)."
        )
