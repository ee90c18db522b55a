"""Strains: colours and named lines."""

from collections.abc import Sequence

from django.utils.translation import gettext_lazy as _

from breeding.animals.models import Strain
from breeding.animals.species.strains import add_all_strains
from breeding.records.incoming.kinds.kept import Kept, all_together
from breeding.records.incoming.kinds.kind import Facts, Keeping, Kind, words
from breeding.records.incoming.meanings import Meaning
from breeding.words.language import tell_many


def _keep_all(rows: Sequence[Facts], keeping: Keeping) -> Sequence[Kept]:
    def make(facts: Facts) -> Strain:
        return Strain(
            name=" ".join(words(facts, "name").split()),
            species=facts["species"],
            description=words(facts, "description"),
            recorded_by=keeping.by,
        )

    return all_together(rows, keeping, make=make, write=add_all_strains)


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
    _keep_all,
    note="description",
    takes=("animals.Strain.name", "animals.Strain.species", "animals.Strain.description"),
)
