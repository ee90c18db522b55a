"""The family around one animal, to be walked: who stands beside it and below it."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.animals.queries import young_of

MOST_YOUNG = 60  # on one page, the latest of them


@dataclass(frozen=True)
class Mate:
    """One with whom it has young; `animal` is None where the other parent is not on record."""

    animal: Animal | None
    is_kin: bool
    young: list[Animal] = field(default_factory=list)


@dataclass(frozen=True)
class Family:
    mates: Sequence[Mate]
    littermates: Sequence[Animal]
    more_young: int


def family_of(animal: Animal) -> Family:
    """Mates with their young, the latest first, and littermates. Two queries."""
    rows = young_of(animal).select_related("sire", "dam").order_by("-born_on", "code")
    young = list(rows[: MOST_YOUNG + 1])
    more = rows.count() - MOST_YOUNG if len(young) > MOST_YOUNG else 0
    mates: dict[int | None, Mate] = {}
    for one in young[:MOST_YOUNG]:
        other = one.sire if one.dam_id == animal.pk else one.dam
        key = other.pk if other else None
        if key not in mates:
            mates[key] = Mate(other, other is not None and _are_kin(animal, other))
        mates[key].young.append(one)
    return Family([*mates.values()], _littermates(animal), more)


def _are_kin(one: Animal, other: Animal) -> bool:
    return bool(lineage.current().pedigree.are_related(one.pk, other.pk))


def _littermates(animal: Animal) -> Sequence[Animal]:
    """Born of the same dam on the same day."""
    if animal.dam_id is None or animal.born_precision != Animal.Precision.DAY:
        return []
    found = Animal.objects.filter(dam=animal.dam_id, born_on=animal.born_on)
    return list(found.exclude(pk=animal.pk).order_by("code"))
