"""What of ancestry taken can be found."""

from breeding.exchange.models import TakenAncestry
from breeding.program.found import Found

FOUND = (Found("taken", TakenAncestry, "notes", names=("issuer",), texts=("note",)),)
