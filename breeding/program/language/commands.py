"""Commands whose help is said in the language of the shell, like what they answer."""

import sys
from typing import Any

from django.core.management import BaseCommand, CommandError, CommandParser
from django.core.management.base import SystemCheckError

from breeding.program.language.arguments import speak_of
from breeding.words.language import tell


class SpokenCommand(BaseCommand):
    """Its `help` is a message; what its arguments are for is told where they are added."""

    def create_parser(self, *args: Any, **options: Any) -> CommandParser:
        parser = super().create_parser(*args, **options)
        parser.description = tell(self.help) if self.help else None
        speak_of(parser)
        return parser

    def execute(self, *args: Any, **options: Any) -> str | None:
        """What went wrong is said in a shell without the name of a class before it."""
        try:
            return super().execute(*args, **options)
        except CommandError as problem:
            is_in_a_shell = getattr(self, "_called_from_command_line", False)
            is_told_here = is_in_a_shell and not options.get("traceback")
            if not is_told_here or isinstance(problem, SystemCheckError):
                raise
            self.stderr.write(tell("Error: {what}", what=problem))
            sys.exit(problem.returncode)
