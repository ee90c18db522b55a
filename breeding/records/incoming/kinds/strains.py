"""Strains: colours and named lines."""

from typing import Any

from breeding.animals.species.strains import add_strain
from breeding.records.incoming.kinds.kind import Facts, Keeping, Kind, words
from breeding.records.incoming.meanings import Meaning


def _keep(facts: Facts, keeping: Keeping) -> Any:
    return add_strain(
        by=keeping.by,
        name=" ".join(words(facts, "name").split()),
        species=facts["species"],
        description=words(facts, "description"),
    )


STRAINS = Kind(
    "strains",
    "strain",
    "strains",
    (
        Meaning(
            "name",
            "Strain",
            ("strain", "strain name", "line", "colour", "color", "morph", "variety", "name"),
            "its name",
            is_needed=True,
        ),
        Meaning("species", "Species", ("species", "art"), "accepted or trade name", "species"),
        Meaning(
            "description",
            "Description",
            ("description", "described", "looks", "note", "notes"),
            "in words; takes what has no column of its own",
        ),
    ),
    _keep,
    note="description",
    takes=("animals.Strain.name", "animals.Strain.species", "animals.Strain.description"),
)
