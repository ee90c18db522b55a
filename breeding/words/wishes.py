"""What somebody waits for, in one line of words."""

from typing import Any, Protocol

from breeding.words.chances import chance
from breeding.words.language import message, message_as, says, tell, tell_as
from breeding.words.sizes import length

KINDS = {  # as Wish.Kind
    "pure": message("pure {species}"),
    "hybrid": message("hybrid {species}"),
}
WITHOUT_SPECIES = {"pure": message_as("a wish", "pure"), "hybrid": message_as("a wish", "hybrid")}


class Wished(Protocol):
    """What a wish says; empty or None is left open."""

    kind: str
    species: Any
    strain: Any
    sex: str
    least_disc_width_mm: int | None
    trait: Any
    trait_wanted: str
    trait_least_percent: int | None

    def get_sex_display(self) -> str: ...


@says
def wish_words(wish: Wished, length_unit: str) -> str:
    """ "pure P. leopoldi, female, from 15.0 cm"; "any pup" when everything is left open."""
    parts = []
    if what := _what(wish):
        parts.append(what)
    if wish.strain:
        parts.append(tell("strain {strain}", strain=wish.strain))
    if wish.sex:
        parts.append(str(wish.get_sex_display()))
    if wish.least_disc_width_mm:
        parts.append(tell("from {size}", size=length(wish.least_disc_width_mm, length_unit)))
    if wish.trait:
        parts.append(_trait(wish))
    return ", ".join(parts) or tell("any pup")


def _trait(wish: Wished) -> str:
    """A trait that it is to show or to carry, surely or with a chance."""
    values = {"trait": wish.trait, "share": chance((wish.trait_least_percent or 0) / 100)}
    if wish.trait_wanted == "shows":
        if wish.trait_least_percent is None:
            return tell("shows {trait}", **values)
        return tell("shows {trait} with {share} at least", **values)
    if wish.trait_least_percent is None:
        return tell("carries {trait}", **values)
    return tell("carries {trait} with {share} at least", **values)


def _what(wish: Wished) -> str:
    if not wish.species:
        return tell_as("a wish", WITHOUT_SPECIES[wish.kind]) if wish.kind else ""
    name = wish.species.short_name
    return tell(KINDS[wish.kind], species=name) if wish.kind else name
