"""From which countries the founders of an animal come: listings can depend on it."""

from collections.abc import Mapping
from fractions import Fraction

from breeding.animals import lineage
from breeding.animals.models import Animal


def founder_countries(
    animal: int, species: int, animals: Mapping[int, Animal] | None = None
) -> frozenset[str]:
    """The countries of its founders that carry a species; "" where one is not on record.

    Of one that was not taken from the wild the country says where it was kept, so that its own
    founders are not on record either. animals: its ancestors, where they are read already.
    """
    known = lineage.current()
    pedigree = known.pedigree
    line = {animal, *pedigree.ancestors(animal)}
    carriers = [one for one in line if known.shares.get(one, {}).get(species)]
    if animals is None:
        animals = Animal.objects.in_bulk(carriers)
    found: set[str] = set()
    for one in carriers:
        if pedigree.is_founder(one):
            found.add(animals[one].country)
            if animals[one].origin != Animal.Origin.WILD:
                found.add("")
        elif pedigree.dam(one) is None or sum(pedigree.sires(one).values(), Fraction(0)) < 1:
            found.add("")
    return frozenset(found)
