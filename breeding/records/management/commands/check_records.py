"""`manage.py check_records`: whether the records are whole and possible, and how to mend them."""

import sys
from pathlib import Path
from typing import Any

from django.core.management import CommandError
from django.db import connection
from django.utils import timezone

from breeding.program import clock
from breeding.program.language.commands import SpokenCommand
from breeding.program.queries import the_program
from breeding.records.checking import database
from breeding.records.checking.everything import Part, check_everything, found_words
from breeding.words.language import message, tell


class Command(SpokenCommand):
    """Looks at every row and changes none; ends with 1 when there is something to put right."""

    help = message(
        "Look at every record: what points to nothing, files, lineage, days that cannot be. "
        "Changes nothing; ends with 1 when there is something to put right."
    )
    requires_system_checks: list[str] = []

    def handle(self, *args: Any, **options: Any) -> None:
        parts = self._checked()
        for part in parts:
            self._tell(part)
        self.stdout.write(found_words(parts))
        if any(part.findings for part in parts):
            sys.exit(1)

    def _checked(self) -> list[Part]:
        name = connection.settings_dict["NAME"]
        if connection.vendor == "sqlite" and not connection.connection and not Path(name).exists():
            raise CommandError(
                tell("There is no database at {path}; --home names another directory.", path=name)
            )
        if missing := tuple(database.what_is_missing()):
            return [Part(tell("The database"), missing)]  # it has no time zone to ask for
        with timezone.override(the_program().zone):
            return check_everything(clock.today())

    def _tell(self, part: Part) -> None:
        if not part.findings:
            return
        self.stdout.write(part.heading)
        for one in part.findings:
            self.stdout.write(f"- {one.record}: {one.words}")
            at = f" ({one.address})" if one.address else ""
            self.stdout.write(f"  {tell('To mend it: {words}', words=one.mend)}{at}")
        self.stdout.write("")
