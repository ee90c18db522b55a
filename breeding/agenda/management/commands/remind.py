"""`manage.py remind`: send the morning digests that are due; for cron."""

import datetime
from typing import Any

from django.conf import settings
from django.core.management import CommandError, CommandParser
from django.utils import timezone

from breeding.agenda.models import DigestChoice, Mailing
from breeding.agenda.sent.outbox import remind
from breeding.program import clock
from breeding.program.language.commands import SpokenCommand
from breeding.program.queries import the_program
from breeding.words.language import message, tell


class Command(SpokenCommand):
    """Run as often as one likes, beside the server or without it: one digest a day at most."""

    help = message("Send the morning digests that are due now. Run it every few minutes from cron.")

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--at",
            metavar="MOMENT",
            help=tell(
                "as if it were this moment, like 2026-03-03T07:30 in the program's time zone; "
                "what is sent by it is sent"
            ),
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if settings.MAIL is None:
            raise CommandError(
                str(settings.MAIL_PROBLEM)
                or tell(
                    "No mail server is set; put its address into RAYWARD_MAIL (see the README)."
                )
            )
        now = read_moment(options["at"]) if options["at"] else clock.now()
        outcomes = remind(now)
        for outcome in outcomes:
            self.stdout.write(f"{outcome.person}: {outcome.words}")
        if not outcomes:
            some = DigestChoice.objects.filter(is_on=True).exists()
            self.stdout.write(
                tell("No digest is due.") if some else tell("Nobody has asked for a digest.")
            )
        if any(outcome.state == Mailing.State.WAITING for outcome in outcomes):
            raise CommandError(tell("Not every digest could be sent; it is tried again."))


def read_moment(text: str) -> datetime.datetime:
    """An ISO moment; one without an offset is meant in the program's time zone."""
    try:
        moment = datetime.datetime.fromisoformat(text)
    except ValueError:
        raise CommandError(
            tell("--at {value}: not a moment; write it like 2026-03-03T07:30.", value=text)
        ) from None
    return timezone.make_aware(moment, the_program().zone) if moment.tzinfo is None else moment
