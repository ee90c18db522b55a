"""Of which founders nobody knows whether they are kin, and what F could be if they were."""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING

from pedigree import UnknownFounders, possible_kinship, unknown_share
from pedigree.figures.unknown_founders import HALF_AS_LIKELY_AS_LITTERMATES
from pedigree.rows import Floats

if TYPE_CHECKING:
    from breeding.animals.lineage import Lineage

DEFAULT = HALF_AS_LIKELY_AS_LITTERMATES
Sources = Mapping[int, frozenset[Hashable]]


@dataclass(frozen=True)
class Possible:
    """F of the young of two: by what is on record, and what it could be.

    is_unsaid: whether the one thing is nothing and the other is not, so that nobody knows.
    """

    on_record: float
    could_be: float
    kinship: Fraction = field(default=DEFAULT)

    @property
    def is_open(self) -> bool:
        return self.could_be > self.on_record + 1e-12

    @property
    def is_unsaid(self) -> bool:
        return self.is_open and not self.on_record


def sources_of(found: "Lineage") -> Sources:
    """Where each founder, or the one unknown parent of an animal, may come from.

    One seller, on one day or on any, is a source. Of whom no seller is on record, and who is not
    from the wild, comes from where nobody knows; so does a parent without a name. Two of species
    that share none cannot be siblings, so each source is one for each species.
    """
    kin, ped = found.kin, found.pedigree
    every = frozenset(key for shares in found.base.values() for key in shares)
    groups: dict[int, set[Hashable]] = {}
    for name, some in (("came", kin.together), ("seller", kin.sellers)):
        for number, group in enumerate(some):
            for key in group:
                if name == "came" or key not in found.wild:
                    groups.setdefault(key, set()).add((name, number))
    with_seller = frozenset().union(*kin.sellers)
    sources: dict[int, frozenset[Hashable]] = {}
    for key in ped.ids:
        is_founder = ped.is_founder(key)
        if not is_founder and sum(ped.sires(key).values()) == 1 and ped.dam(key) is not None:
            continue
        mine = groups.get(key, set())
        if not is_founder or (key not in with_seller and key not in found.wild):
            mine = mine | {"nobody knows"}
        kinds = (found.base.get(key) if is_founder else None) or (*every, None)
        if mine:
            sources[key] = frozenset((one, kind) for one in mine for kind in kinds)
    return sources


def beliefs_of(found: "Lineage", kinship: Fraction = DEFAULT) -> UnknownFounders:
    """What is believed of them: what a keeper wrote down of two stands, and of others `kinship`."""
    settled = {pair: one.kinship for pair, one in found.kin.held.items() if not one.is_unknown}
    sources = found.sources
    for one, other, follows in found.pedigree.assumed:
        pair = frozenset((one, other))
        if pair not in found.kin.held:
            shared = sources.get(one, frozenset()) & sources.get(other, frozenset())
            settled[pair] = max(follows, kinship if shared else Fraction(0))
    return UnknownFounders(sources, kinship, settled)


def possible_among(found: "Lineage", keys: Sequence[int], kinship: Fraction = DEFAULT) -> Floats:
    """Kinship of these as it could be: (m, m)."""
    return possible_kinship(found.pedigree, keys, beliefs_of(found, kinship))


def unknown_of(found: "Lineage", keys: Sequence[int]) -> Floats:
    """What part of each one's genes comes from founders nobody knows anything of; of those from
    the wild nobody can know more."""
    return unknown_share(found.pedigree, keys, found.wild)


def possible_of_young(
    found: "Lineage", sire: int, dam: int, kinship: Fraction = DEFAULT
) -> Possible:
    """F of the young of these two. Cost: their ancestors."""
    table = possible_among(found, [sire, dam], kinship)
    return Possible(found.pedigree.kinship(sire, dam), float(table[0, 1]), kinship)
