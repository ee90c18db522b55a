"""Species shares: what part of an animal stems from which base, and what is unknown."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from pedigree.errors import LineageError
from pedigree.layout import Unrecorded
from pedigree.pedigree import Pedigree
from pedigree.rows import HALF, UNKNOWN, exact

Shares = dict[Any, Fraction]


def composition(ped: Pedigree, base: Mapping[Any, Mapping[Any, Any]]) -> dict[Any, Shares]:
    """Shares of every animal by label, exact; the label None is the part that is unknown.

    `base` gives the shares of founders: {founder: {label: share}}. What a founder's shares leave
    over, and everything through an unknown parent, is unknown. From the second generation of a
    cross on these are expected values; the young differ. Every animal's shares sum to 1.

    Raises UnknownAnimal for a founder without a row; LineageError for one that has a recorded
    parent, for a share outside 0 to 1 and for shares that sum to more than 1.
    Cost: animals times labels.

    >>> ped = Pedigree.from_rows([("Altair", None, None), ("Vega", None, None),
    ...                           ("Mira", "Altair", "Vega"), ("Deneb", None, "Mira")])
    >>> shares = composition(ped, {"Altair": {"motoro": 1}, "Vega": {"leopoldi": 1}})
    >>> shares["Deneb"] == {"motoro": Fraction(1, 4), "leopoldi": Fraction(1, 4),
    ...                     None: Fraction(1, 2)}
    True
    """
    stated = {animal: _stated(ped, animal, shares) for animal, shares in base.items()}
    layout = ped._layout
    unknown: Shares = {None: Fraction(1)}
    kept: list[Shares] = []
    for node, (one, other) in enumerate(
        zip(layout.first.tolist(), layout.second.tolist(), strict=True)
    ):
        label = layout.label[node]
        if one == other == UNKNOWN:
            given = None if isinstance(label, Unrecorded) else stated.get(label)
            kept.append(unknown if given is None else given)
            continue
        if label in stated and label is not None:  # littermates by two unknown parents
            kept.append(stated[label])
            continue
        share = layout.exact_shares.get(node, HALF)
        mixed: Shares = {}
        for parent, part in ((one, share), (other, 1 - share)):
            source = unknown if parent == UNKNOWN else kept[parent]
            for name, amount in source.items():
                mixed[name] = mixed.get(name, Fraction(0)) + part * amount
        kept.append(mixed)
    nodes = layout.node_of_row.tolist()
    return {animal: dict(kept[node]) for animal, node in zip(ped.ids, nodes, strict=True)}


def _stated(ped: Pedigree, animal: Any, shares: Mapping[Any, Any]) -> Shares:
    if not ped.is_founder(animal):
        raise LineageError(
            f"{animal} has a recorded parent, so its shares follow from its parents; "
            "only founders are given shares."
        )
    found: Shares = {}
    for label, value in shares.items():
        share = exact(value)
        if not 0 <= share <= 1:
            raise LineageError(f"The share of {label} in {animal} is {value}; allowed is 0 to 1.")
        if share and label is not None:
            found[label] = share
    rest = 1 - sum(found.values(), Fraction(0))
    if rest < 0:
        raise LineageError(f"The shares of {animal} make {1 - rest}; together they are at most 1.")
    if rest:
        found[None] = rest
    return found
