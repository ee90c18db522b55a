"""What of health can be found."""

from breeding.health.models import Death, Observation, Quarantine, Treatment, Visit
from breeding.program.found import Found

FOUND = (
    Found("observation", Observation, "notes", texts=("note",)),
    Found(
        "treatment",
        Treatment,
        "notes",
        texts=("remedy", "against", "dose", "prescribed_by", "note", "reason"),
    ),
    Found("visit", Visit, "notes", texts=("by", "found")),
    Found("quarantine", Quarantine, "notes", texts=("note",)),
    Found(
        "death",
        Death,
        "notes",
        texts=("circumstances", "findings", "found_where", "examined_by"),
    ),
)
