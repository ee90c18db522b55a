"""What of parentage sheets can be found."""

from breeding.program.found import Found
from breeding.sheets.models import Sheet

FOUND = (Found("sheet", Sheet, "things", names=("number",), codes=("number",)),)
