"""Commands whose help is said in the language of the shell, like what they answer."""

from typing import Any

from django.core.management import BaseCommand, CommandParser

from breeding.words.language import tell


class SpokenCommand(BaseCommand):
    """Its `help` is a message; what its arguments are for is told where they are added."""

    def create_parser(self, *args: Any, **options: Any) -> CommandParser:
        parser = super().create_parser(*args, **options)
        parser.description = tell(self.help) if self.help else None
        return parser
