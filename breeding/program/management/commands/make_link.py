"""`manage.py make_link NAME`: a new one-time sign-in link for somebody who forgot the password."""

import datetime
from typing import Any

from django.core.management import CommandError, CommandParser

from breeding.program import clock, services
from breeding.program.language.commands import SpokenCommand
from breeding.program.models import Person
from breeding.words.language import message, tell


class Command(SpokenCommand):
    help = message("Print a link path that signs the named person in once, within a day.")

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("username")
        parser.add_argument(
            "--new-password",
            action="store_true",
            help=tell("the link asks for a new password first"),
        )

    def handle(self, *args: Any, **options: Any) -> None:
        person = Person.objects.filter(username=options["username"], is_active=True).first()
        if person is None:
            known = ", ".join(
                Person.objects.filter(is_active=True).values_list("username", flat=True)
            )
            raise CommandError(
                tell(
                    "Nobody signs in as {name}. Known are: {names}.",
                    name=options["username"],
                    names=known,
                )
            )
        token = services.make_sign_in_link(
            person,
            now=clock.now(),
            good_for=datetime.timedelta(days=1),
            asks_password=options["new_password"],
        )
        self.stdout.write(f"/link/{token}/")
