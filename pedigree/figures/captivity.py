"""Generation in captivity, which is not the genetic generation of a cross."""

from collections.abc import Iterable
from typing import Any

import numpy as np

from pedigree.pedigree import Pedigree


def generation_in_captivity(ped: Pedigree, wild: Iterable[Any]) -> dict[Any, int | None]:
    """Generations since the wild: 0 for the wild caught, 1 with a wild parent; None is unknown.

    Otherwise 1 + the smaller of the parents' generations, and unknown when a parent's is. With
    several possible sires it is known when all of them give the same. Cost: linear. Raises
    UnknownAnimal.

    Source: the captive generations of CITES Resolution Conf. 10.16 (Rev.), where F1 has at least
    one parent from the wild.

    >>> ped = Pedigree.from_rows([("Altair", None, None), ("Vega", None, None),
    ...                           ("Mira", "Altair", "Vega"), ("Deneb", None, "Mira")])
    >>> generation_in_captivity(ped, ["Altair"])
    {'Altair': 0, 'Vega': None, 'Mira': 1, 'Deneb': None}
    """
    caught = set(wild)
    for animal in caught:
        ped.row(animal)
    order = np.argsort(ped._layout.node_of_row, kind="stable").tolist()
    found: dict[Any, int | None] = {}
    for row in order:
        animal = ped.ids[row]
        if animal in caught:
            found[animal] = 0
            continue
        sires, dam = ped.sires(animal), ped.dam(animal)
        unknown_part = sum(sires.values()) < 1
        of_dam = None if dam is None else found[dam]
        ways = {_after(found[sire], of_dam) for sire in sires}
        if unknown_part:
            ways.add(_after(None, of_dam))
        found[animal] = ways.pop() if len(ways) == 1 else None
    return {animal: found[animal] for animal in ped.ids}


def _after(one: int | None, other: int | None) -> int | None:
    if 0 in (one, other):
        return 1
    return None if one is None or other is None else 1 + min(one, other)
