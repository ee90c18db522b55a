"""Who is missing among an animal's ancestors."""

from collections.abc import Container
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from pedigree.pedigree import Pedigree


@dataclass(frozen=True)
class Gaps:
    """Whose sire, dam or both parents are not known, nearest first; `wild` are the end of it."""

    sires: tuple[Any, ...]
    dams: tuple[Any, ...]
    parents: tuple[Any, ...]
    wild: tuple[Any, ...]


def within(ped: Pedigree, animal: Any, generations: int) -> list[Any]:
    """The animal and its ancestors over some generations, each once, nearest first."""
    found = {animal: None}
    level = [animal]
    for _ in range(generations):
        above = []
        for young in level:
            dam = ped.dam(young)
            above += [*ped.sires(young), *([] if dam is None else [dam])]
        level = [one for one in dict.fromkeys(above) if one not in found]
        found.update(dict.fromkeys(level))
    return list(found)


def gaps(ped: Pedigree, animal: Any, generations: int, wild: Container[Any]) -> Gaps:
    """Which places of so many generations of ancestors are empty. Cost: those places.

    >>> ped = Pedigree.from_rows([("Mira", None, "Vega"), ("Vega", None, None)])
    >>> gaps(ped, "Mira", 3, wild=["Vega"])
    Gaps(sires=('Mira',), dams=(), parents=(), wild=('Vega',))
    """
    sires: list[Any] = []
    dams: list[Any] = []
    parents: list[Any] = []
    caught: list[Any] = []
    for one in within(ped, animal, generations - 1):
        if ped.is_founder(one):
            (caught if one in wild else parents).append(one)
            continue
        if sum(ped.sires(one).values(), Fraction(0)) < 1:
            sires.append(one)
        if ped.dam(one) is None:
            dams.append(one)
    return Gaps(tuple(sires), tuple(dams), tuple(parents), tuple(caught))
