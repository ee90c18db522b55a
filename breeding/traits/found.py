"""What of traits can be found."""

from breeding.program.found import Found
from breeding.traits.models import Trait, TraitLook

FOUND = (
    Found("trait", Trait, "things", names=("name",), texts=("source", "note")),
    Found("trait_look", TraitLook, "notes", texts=("looked_by", "note")),
)
