"""What of animals can be found: codes, names, chip numbers, words about them."""

from breeding.animals.models import Animal, AssumedKin, Measurement, Photograph, Species, Strain
from breeding.program.found import Found

FOUND = (
    Found(
        "animal",
        Animal,
        "animals",
        names=("code", "call_name", "chip"),
        codes=("code", "chip"),
        texts=("markings", "note", "country"),
        related=("portrait",),
        template="animals/_found.html",
    ),
    Found("species", Species, "things", names=("accepted_name", "trade_name"), texts=("law_note",)),
    Found("strain", Strain, "things", names=("name",), texts=("description",)),
    Found("photograph", Photograph, "notes", texts=("caption",)),
    Found("measurement", Measurement, "notes", texts=("note",)),
    Found("kin", AssumedKin, "notes", texts=("note",)),
)
