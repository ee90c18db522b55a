"""`manage.py rebuild_index`: make the index of what can be found anew."""

from typing import Any

from django.db import transaction

from breeding.finding.index import building
from breeding.finding.models import Entry
from breeding.program.language.commands import SpokenCommand
from breeding.words.language import message, tell


class Command(SpokenCommand):
    """Make the index anew, from everything on record."""

    help = message("Make the index of what can be found anew, from everything on record.")

    def handle(self, *args: Any, **options: Any) -> None:
        with transaction.atomic():
            building.make()
        self.stdout.write(
            tell("The index holds {number} names and texts.", number=Entry.objects.count())
        )
