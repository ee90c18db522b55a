"""What the sentences need to know of an animal: what it is called, its sex, its origin."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from breeding.words.language import message, tell
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


PARENTS_NOT_RECORDED = {  # by the place that is filled, and whether somebody assumed them
    ("sire", False): message("the unknown sire of {animals}"),
    ("sire", True): message("the assumed sire of {animals}"),
    ("dam", False): message("the unknown dam of {animals}"),
    ("dam", True): message("the assumed dam of {animals}"),
}

Names = Mapping[Any, Who]


def called(animal: Any, names: Names) -> str:
    """The name; of the unrecorded parent of a litter, whose parent it is.

    >>> called("m", {"m": Who("Mira")}), called(Unrecorded("sire", ("m",)), {"m": Who("Mira")})
    ('Mira', 'the unknown sire of Mira')
    """
    if isinstance(animal, Unrecorded):
        said = PARENTS_NOT_RECORDED[animal.role, bool(animal.is_assumed)]
        return tell(said, animals=all_called(animal.young, names))
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
