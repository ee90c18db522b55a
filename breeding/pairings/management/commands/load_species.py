"""`manage.py load_species`: bring in species, their figures and the kinds of signs once."""

from typing import Any

from breeding.pairings.species_file import load_species
from breeding.program.language.commands import SpokenCommand
from breeding.words.language import message, tell_many


class Command(SpokenCommand):
    help = message(
        "Bring in species, figures and signs that are not there yet; what was edited stays."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        added = load_species()
        if options["verbosity"]:
            self.stdout.write(
                tell_many(
                    "{number} row added; what was there stays as it is.",
                    "{number} rows added; what was there stays as it is.",
                    added,
                )
            )
