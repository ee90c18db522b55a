"""Strains: colours and named lines."""

from typing import Any

from django.utils.translation import gettext_lazy as _

from breeding.animals.species.strains import add_strain
from breeding.records.incoming.kinds.kept import one_by_one
from breeding.records.incoming.kinds.kind import Facts, Keeping, Kind, words
from breeding.records.incoming.meanings import Meaning
from breeding.words.language import tell_many


def _keep(facts: Facts, keeping: Keeping) -> Any:
    return add_strain(
        by=keeping.by,
        name=" ".join(words(facts, "name").split()),
        species=facts["species"],
        description=words(facts, "description"),
    )


STRAINS = Kind(
    "strains",
    _("strain"),
    _("strains"),
    lambda number: tell_many("{number} strain", "{number} strains", number),
    (
        Meaning(
            "name",
            _("Strain"),
            ("strain", "strain name", "line", "colour", "color", "morph", "variety", "name"),
            _("its name"),
            is_needed=True,
        ),
        Meaning(
            "species", _("Species"), ("species", "art"), _("accepted or trade name"), "species"
        ),
        Meaning(
            "description",
            _("Description"),
            ("description", "described", "looks", "note", "notes"),
            _("in words; takes what has no column of its own"),
        ),
    ),
    one_by_one(_keep),
    note="description",
    takes=("animals.Strain.name", "animals.Strain.species", "animals.Strain.description"),
)
