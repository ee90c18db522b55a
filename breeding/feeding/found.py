"""What of foods and feeding can be found."""

from breeding.feeding.models import Feeding, Food
from breeding.program.found import Found

FOUND = (
    Found("food", Food, "things", names=("name",), texts=("note",)),
    Found("feeding", Feeding, "notes", texts=("note",)),
)
