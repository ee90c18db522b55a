"""`manage.py load_species`: bring in species, their figures and the kinds of signs once."""

from typing import Any

from django.core.management import BaseCommand

from breeding.pairings.species_file import load_species
from breeding.words.numbers import counted


class Command(BaseCommand):
    help = "Bring in species, figures and signs that are not there yet; what was edited stays."

    def handle(self, *args: Any, **options: Any) -> None:
        added = load_species()
        if options["verbosity"]:
            self.stdout.write(f"{counted(added, 'row')} added; what was there stays as it is.")
