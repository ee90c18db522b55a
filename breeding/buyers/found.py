"""What of buyers can be found, by those who may see buyers."""

from breeding.buyers.models import Contact, HandOver, Reservation, Wish
from breeding.program.found import Found

FOUND = (
    Found(
        "contact",
        Contact,
        "people",
        names=("name",),
        texts=("reach", "wish"),
        readers="buyers",
        template="buyers/_found.html",
    ),
    Found("reservation", Reservation, "notes", texts=("note",), readers="buyers"),
    Found("wish", Wish, "notes", texts=("note",), readers="buyers"),
    Found(
        "hand_over",
        HandOver,
        "notes",
        names=("permit_number",),
        texts=("note", "packing", "reason", "came_back_because"),
        readers="buyers",
    ),
)
