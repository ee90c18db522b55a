"""What somebody waits for, in one line of words."""

from typing import Any, Protocol

from breeding.words.sizes import length


class Wished(Protocol):
    """What a wish says; empty or None is left open."""

    kind: str
    species: Any
    strain: Any
    sex: str
    least_disc_width_mm: int | None

    def get_sex_display(self) -> str: ...


def wish_words(wish: Wished, length_unit: str) -> str:
    """ "pure P. leopoldi, female, from 15.0 cm"; "any pup" when everything is left open."""
    parts = []
    what = " ".join(
        part for part in (wish.kind, wish.species.short_name if wish.species else "") if part
    )
    if what:
        parts.append(what)
    if wish.strain:
        parts.append(f"strain {wish.strain}")
    if wish.sex:
        parts.append(wish.get_sex_display())
    if wish.least_disc_width_mm:
        parts.append(f"from {length(wish.least_disc_width_mm, length_unit)}")
    return ", ".join(parts) or "any pup"
