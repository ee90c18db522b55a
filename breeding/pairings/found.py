"""What of pairings and sightings can be found."""

from breeding.pairings.models import Outcome, Pairing, Rest, Scan, Sighting
from breeding.program.found import Found

FOUND = (
    Found("pairing", Pairing, "notes", texts=("reason", "note", "separation_note")),
    Found("sighting", Sighting, "notes", texts=("note",)),
    Found("scan", Scan, "notes", texts=("done_by", "note")),
    Found("outcome", Outcome, "notes", texts=("note",)),
    Found("rest", Rest, "notes", texts=("note",)),
)
