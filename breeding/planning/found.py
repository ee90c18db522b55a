"""What of plans can be found."""

from breeding.planning.models import PlannedPairing
from breeding.program.found import Found

FOUND = (Found("planned_pairing", PlannedPairing, "notes", texts=("note", "reason")),)
