"""What the sentences need to know of an animal: what it is called, its sex, its origin."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from breeding.words.numbers import joined
from pedigree import Unrecorded

WILD, ELSEWHERE, HERE, UNKNOWN = "wild", "elsewhere", "here", "unknown"  # as Animal.Origin


@dataclass(frozen=True)
class Who:
    """One animal as it is spoken of."""

    name: str
    sex: str = "U"  # F, M or U
    origin: str = UNKNOWN
    country: str = ""  # where it comes from


Names = Mapping[Any, Who]


def called(animal: Any, names: Names) -> str:
    """The name; of the unrecorded parent of a litter, whose parent it is.

    >>> called("m", {"m": Who("Mira")}), called(Unrecorded("sire", ("m",)), {"m": Who("Mira")})
    ('Mira', 'the unknown sire of Mira')
    """
    if isinstance(animal, Unrecorded):
        word = "assumed" if animal.is_assumed else "unknown"
        return f"the {word} {animal.role} of {all_called(animal.young, names)}"
    found = names.get(animal)
    return found.name if found is not None else str(animal)


def all_called(animals: Any, names: Names, last: str = "and") -> str:
    """Several names as one says them."""
    return joined([called(one, names) for one in animals], last)


def sex_of(animal: Any, names: Names) -> str:
    """F, M or U; of an unrecorded parent by the place it fills."""
    if isinstance(animal, Unrecorded):
        return "M" if animal.role == "sire" else "F"
    found = names.get(animal)
    return found.sex if found is not None else "U"
