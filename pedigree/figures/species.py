"""What is known of the species of an animal, through whom the unknown part came, and why."""

from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import Any, Literal, NamedTuple

from pedigree.figures.crosses import Cross
from pedigree.pedigree import Pedigree


def is_hybrid(shares: Mapping[Any, Any]) -> bool:
    """Whether more than one species is known to be in it; the label None is the unknown part.

    >>> is_hybrid({"motoro": Fraction(1, 2), None: Fraction(1, 2)})
    False
    """
    return sum(1 for label, share in shares.items() if label is not None and share) > 1


class UnknownPart(NamedTuple):
    """A part of an animal that is of unknown species, and through whom it came.

    parent: "sire" or "dam" when it came through that unknown parent of `animal`; "" when `animal`
    is a founder whose species is not on record, or only in part (`is_partly`).
    """

    animal: Any
    parent: Literal["", "sire", "dam"]
    share: Fraction
    is_partly: bool = False


def unknown_parts(
    ped: Pedigree, animal: Any, base: Mapping[Any, Mapping[Any, Any]]
) -> tuple[UnknownPart, ...]:
    """Through whom the part of unknown species came; the shares make up that part.

    Cost: animals among the ancestors times their depth.

    >>> ped = Pedigree.from_rows([("Mira", None, "Vega"), ("Vega", None, None)])
    >>> unknown_parts(ped, "Mira", {"Vega": {"motoro": 1}})
    (UnknownPart(animal='Mira', parent='sire', share=Fraction(1, 2), is_partly=False),)
    """
    found: dict[tuple[Any, Literal["", "sire", "dam"], bool], Fraction] = {}

    def add(
        one: Any, parent: Literal["", "sire", "dam"], share: Fraction, is_partly: bool = False
    ) -> None:
        if share:
            key = one, parent, is_partly
            found[key] = found.get(key, Fraction(0)) + share

    here: dict[Any, Fraction] = {animal: Fraction(1)}
    while here:
        above: dict[Any, Fraction] = {}
        for young, weight in here.items():
            if ped.is_founder(young):
                recorded = sum(base.get(young, {}).values(), Fraction(0))
                add(young, "", weight * (1 - recorded), bool(recorded))
                continue
            sires, dam = ped.sires(young), ped.dam(young)
            parents = [*sires.items(), *([] if dam is None else [(dam, Fraction(1))])]
            for parent, share in parents:
                above[parent] = above.get(parent, Fraction(0)) + weight * share / 2
            add(young, "sire", (1 - sum(sires.values(), Fraction(0))) * weight / 2)
            if dam is None:
                add(young, "dam", weight / 2)
        here = above
    return tuple(
        UnknownPart(one, parent, share, is_partly)
        for (one, parent, is_partly), share in found.items()
    )


Reason = Literal["unknown", "sire", "mixed", "no name"]


def why_no_cross(
    ped: Pedigree,
    base: Mapping[Any, Mapping[Any, Any]],
    shares: Mapping[Any, Mapping[Any, Fraction]],
    kinds: Mapping[Any, Cross | None],
    animal: Any,
) -> Reason | None:
    """Why an animal has no label such as F2: None when it has one.

    "unknown": a part of its ancestry is; "sire": one that may be of unlike kinds; "mixed": a
    founder is on record as mixed; "no name": all is known, and the cross has no short name.
    Asked of the animal and all it stems from. Cost: its ancestors.

    >>> ped = Pedigree.from_rows([("P", None, None), ("Q", None, None),
    ...                           ("M", {"P": 0.5, "Q": 0.5}, "P")])
    >>> base = {"P": {"motoro": Fraction(1)}, "Q": {"leopoldi": Fraction(1)}}
    >>> from pedigree import composition, crosses
    >>> why_no_cross(ped, base, composition(ped, base), crosses(ped, base), "M")
    'sire'
    """
    if kinds[animal] is not None:
        return None
    if shares[animal].get(None):
        return "unknown"
    behind: Iterable[Any] = (*ped.ancestors(animal), animal)
    if any(len({kinds[sire] for sire in ped.sires(one)}) > 1 for one in behind):
        return "sire"
    if any(is_hybrid(base.get(one, {})) for one in behind):
        return "mixed"
    return "no name"
