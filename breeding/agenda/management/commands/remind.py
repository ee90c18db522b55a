"""`manage.py remind`: send the morning digests that are due; for cron."""

import datetime
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from breeding.agenda.models import DigestChoice, Mailing
from breeding.agenda.outbox import remind
from breeding.program import clock
from breeding.program.queries import the_program


class Command(BaseCommand):
    """Run as often as one likes, beside the server or without it: one digest a day at most."""

    help = "Send the morning digests that are due now. Run it every few minutes from cron."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--at",
            metavar="MOMENT",
            help="as if it were this moment, like 2026-03-03T07:30 in the program's time zone; "
            "what is sent by it is sent",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if settings.MAIL is None:
            raise CommandError(
                settings.MAIL_PROBLEM
                or "No mail server is set; put its address into RAYWARD_MAIL (see the README)."
            )
        now = read_moment(options["at"]) if options["at"] else clock.now()
        outcomes = remind(now)
        for outcome in outcomes:
            self.stdout.write(f"{outcome.person}: {outcome.words}")
        if not outcomes:
            some = DigestChoice.objects.filter(is_on=True).exists()
            self.stdout.write("No digest is due." if some else "Nobody has asked for a digest.")
        if any(outcome.state == Mailing.State.WAITING for outcome in outcomes):
            raise CommandError("Not every digest could be sent; it is tried again.")


def read_moment(text: str) -> datetime.datetime:
    """An ISO moment; one without an offset is meant in the program's time zone."""
    try:
        moment = datetime.datetime.fromisoformat(text)
    except ValueError:
        raise CommandError(f"--at {text}: not a moment; write it like 2026-03-03T07:30.") from None
    return timezone.make_aware(moment, the_program().zone) if moment.tzinfo is None else moment
