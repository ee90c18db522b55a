"""`manage.py switch_off_two_step NAME`: for the only owner, who lost the phone and the codes."""

from typing import Any

from django.core.exceptions import ValidationError
from django.core.management import CommandError, CommandParser

from breeding.program.access import two_step
from breeding.program.language.commands import SpokenCommand
from breeding.program.models import Person
from breeding.words.language import message, tell


class Command(SpokenCommand):
    help = message(
        "Switch two-step sign-in off for the named person; the password is still asked for."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("username")

    def handle(self, *args: Any, **options: Any) -> None:
        person = Person.objects.filter(username=options["username"]).first()
        if person is None:
            raise CommandError(tell("Nobody signs in as {name}.", name=options["username"]))
        try:
            two_step.switch_off(person)
        except ValidationError as problem:
            raise CommandError(" ".join(problem.messages)) from None
        self.stdout.write(tell("Two-step sign-in is off for {person}.", person=person))
