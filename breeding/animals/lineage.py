"""The one bridge from rows to a Pedigree, kept until parentage changes."""

import datetime
from collections import OrderedDict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from typing import Any

from django.db.models import Q

from breeding.animals import revisions
from breeding.animals.models import Animal, PossibleSire, Revision
from breeding.animals.parents.held import FoundersKin, assumed_of, founders_kin, open_pairs
from breeding.animals.parents.unknown import Sources, sources_of
from pedigree import (
    Cross,
    LineageLoop,
    Pedigree,
    UnknownAnimal,
    composition,
    crosses,
    equivalent_generations,
    generation_in_captivity,
)

YOUNG = 0  # the key of young that are only thought of; no animal on record has it

COUNTS = Q(animal__withdrawn_at__isnull=True)

_lineages: "OrderedDict[str, Lineage]" = OrderedDict()


@dataclass
class Lineage:
    """The pedigree of every animal on record, with what has been computed from it so far."""

    pedigree: Pedigree
    base: Mapping[int, Mapping[int, Fraction]] = field(repr=False)
    wild: frozenset[int] = frozenset()
    kin: FoundersKin = field(default=FoundersKin(), repr=False)

    @cached_property
    def inbreeding(self) -> dict[int, float]:
        """F of every animal, by its key."""
        values = self.pedigree.inbreeding().tolist()
        return dict(zip(self.pedigree.ids, values, strict=True))

    @cached_property
    def equivalent_generations(self) -> dict[int, float]:
        """Equivalent complete generations known of every animal, by its key."""
        values = equivalent_generations(self.pedigree).tolist()
        return dict(zip(self.pedigree.ids, values, strict=True))

    @cached_property
    def crosses(self) -> Mapping[int, Cross | None]:
        """Pure, F1, F2, backcross ... of every animal whose ancestry determines it."""
        return crosses(self.pedigree, self.base)

    @cached_property
    def captivity(self) -> Mapping[int, int | None]:
        """Generations since the wild of every animal; None is unknown."""
        return generation_in_captivity(self.pedigree, self.wild)

    @cached_property
    def rows(self) -> dict[int, tuple[Any, ...]]:
        """The row of every animal, by its key."""
        return {row[0]: row for row in self.pedigree.rows()}

    @cached_property
    def unsettled(self) -> frozenset[int]:
        """Every animal with a sire behind it, or its own, who may be one of several."""
        found = {key for key, (_, sire, *_) in self.rows.items() if isinstance(sire, dict)}
        young: dict[int, list[int]] = {}
        for key, (_, sire, dam, *_) in self.rows.items() if found else ():
            for parent in (*(sire if isinstance(sire, dict) else [sire]), dam):
                young.setdefault(parent, []).append(key)
        left = list(found)
        while left:
            more = [key for key in young.get(left.pop(), ()) if key not in found]
            found.update(more)
            left += more
        return frozenset(found)

    def behind(self, *animals: int, more: Iterable[Sequence[Any]] = ()) -> "Lineage":
        """Only these animals and everyone they stem from, with the rows of `more` young.

        Whatever is asked of it costs no more than these few animals do.
        """
        keys = set(animals).union(*(self.pedigree.ancestors(animal) for animal in animals))
        rows = [*(self.rows[key] for key in sorted(keys)), *more]
        return Lineage(
            Pedigree.from_rows(rows, self.pedigree.assumed_among(keys)),
            {key: shares for key, shares in self.base.items() if key in keys},
            self.wild & keys,
            self.kin.among(keys),
        )

    def founders_of(self, *animals: int) -> set[int]:
        """Those of whom no parent is known among these animals and everyone they stem from."""
        ped = self.pedigree
        keys = set(animals).union(*(ped.ancestors(animal) for animal in animals))
        return {key for key in keys if ped.is_founder(key)}

    def open_kin(self, one: int, other: int) -> list[tuple[int, int]]:
        """Founders of the one and of the other of whom nobody knows whether they are kin."""
        if not self.kin.together and not self.kin.held:
            return []
        return open_pairs(self.kin, self.founders_of(one), self.founders_of(other), self.base)

    def open_among(self, some: Sequence[int], others: Sequence[int]) -> set[tuple[int, int]]:
        """The pairs, one of each, of whose founders that is so. Cost: founders are found once."""
        if not self.kin.together and not self.kin.held:
            return set()
        behind = {key: self.founders_of(key) for key in {*some, *others}}
        return {
            (one, other)
            for one in some
            for other in others
            if open_pairs(self.kin, behind[one], behind[other], self.base)
        }

    def assumed_kin(self, one: int, other: int) -> list[tuple[int, int]]:
        """Founders of the one and of the other whose kinship is assumed, and counted."""
        if not self.pedigree.assumed:
            return []
        mine, yours = self.founders_of(one), self.founders_of(other)
        return [
            (first, second)
            for first, second, _ in self.pedigree.assumed
            if (first in mine and second in yours) or (second in mine and first in yours)
        ]

    @cached_property
    def sources(self) -> Sources:
        """Where each founder, and each parent without a name, may come from."""
        return sources_of(self)

    @cached_property
    def as_recorded(self) -> Pedigree:
        """The pedigree without what is assumed."""
        return Pedigree.from_rows(self.rows.values())

    def young_of(self, sire: int, dam: int) -> "Lineage":
        """Two animals, everyone they stem from, and the young they would have, under YOUNG."""
        return self.behind(sire, dam, more=[(YOUNG, sire, dam)])

    def near(self, *animals: int, generations: int) -> "Lineage":
        """These animals and so many generations above them; whoever comes before is left out."""
        keys, level = set(animals), set(animals)
        for _ in range(generations):
            parents = {parent for one in level for parent in self.pedigree.sires(one)}
            parents |= {dam for one in level if (dam := self.pedigree.dam(one)) is not None}
            level = parents - keys
            keys |= level
        rows = []
        for key in sorted(keys):
            _, sire, dam, litter = self.rows[key]
            sires = set(sire) if isinstance(sire, dict) else {sire}
            rows.append(
                (key, sire if sires <= keys else None, dam if dam in keys else None, litter)
            )
        base = {key: shares for key, shares in self.base.items() if key in keys}
        return Lineage(
            Pedigree.from_rows(rows, self.pedigree.assumed_among(keys)),
            base,
            self.wild & keys,
            self.kin.among(keys),
        )

    @cached_property
    def shares(self) -> Mapping[int, Mapping[int | None, Fraction]]:
        """Species shares of every animal: species key to share; None is the unknown part."""
        return composition(self.pedigree, self.base)


def current(now: Revision | None = None) -> Lineage:
    """The lineage of everything on record. Cost: one query while parentage stays as it is.

    now: the tokens, where they are known.
    """
    return revisions.kept(_lineages, (now or revisions.current()).lineage, _read)


def read_already(now: Revision) -> Lineage | None:
    """The lineage of these tokens where this process has it: no query."""
    return _lineages.get(now.lineage)


def descendants(animal: int) -> frozenset[int]:
    """Everyone that stems from this animal, asked also of a lineage that cannot be.

    Whoever puts such a lineage right must not be stopped by it.
    """
    try:
        known = current().pedigree
    except (LineageLoop, UnknownAnimal):
        return _descendants_by_rows(animal)
    return frozenset(known.descendants(animal)) if animal in known else frozenset()


def _descendants_by_rows(animal: int) -> frozenset[int]:
    young: dict[int, set[int]] = {}
    for pk, *parents in Animal.objects.values_list("pk", "sire_id", "dam_id"):
        for parent in filter(None, parents):
            young.setdefault(parent, set()).add(pk)
    for pk, sire in PossibleSire.objects.filter(COUNTS).values_list("animal_id", "sire_id"):
        young.setdefault(sire, set()).add(pk)
    found: set[int] = set()
    left = [animal]
    while left:
        more = young.get(left.pop(), set()) - found
        found |= more
        left += more
    return frozenset(found - {animal})


OF_ANIMAL = ("pk", "sire_id", "dam_id", "born_on", "born_precision", "origin")
OF_SIRES = ("possible_sires__sire_id", "possible_sires__share")
OF_SPECIES = ("species_shares__species_id", "species_shares__share")


def _read() -> Lineage:
    possible: dict[int, dict[int, Fraction]] = {}
    base: dict[int, dict[int, Fraction]] = {}
    facts: dict[int, tuple[Any, ...]] = {}
    found = Animal.objects.order_by("pk", "possible_sires__pk", "species_shares__pk")
    # Several rows of an animal that has several of either; hardly any has some of both.
    for pk, *its_own, sire, its_share, species, share in found.values_list(
        *OF_ANIMAL, *OF_SIRES, *OF_SPECIES
    ):
        facts[pk] = tuple(its_own)
        if sire is not None:
            possible.setdefault(pk, {})[sire] = its_share
        if species is not None:
            base.setdefault(pk, {})[species] = share
    rows = []
    wild = set()
    for pk, (sire, dam, born_on, precision, origin) in facts.items():
        if origin == Animal.Origin.WILD:
            wild.add(pk)
        rows.append(pedigree_row(pk, sire, dam, possible.get(pk), born_on, precision))
    founders = {key for key, sire, dam, *_ in rows if not sire and dam is None}
    kin = founders_kin(founders)
    return Lineage(
        Pedigree.from_rows(rows, assumed_of(kin.held.values())), base, frozenset(wild), kin
    )


def pedigree_row(
    key: int,
    sire: int | None,
    dam: int | None,
    candidates: Mapping[int, Fraction] | None,
    born_on: datetime.date | None,
    precision: str,
) -> tuple[Any, ...]:
    """The row of one animal as a Pedigree takes it; `candidates` are its possible sires' shares.

    Young of one dam, one day and one belief about the sire are litter mates.
    """
    if sire is None and dam is not None and precision == Animal.Precision.DAY:
        return (key, candidates, dam, (dam, born_on, tuple(sorted((candidates or {}).items()))))
    return (key, candidates or sire, dam)
