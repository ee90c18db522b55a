"""What to write down first: whose parents, whose age, by how much it would change the plan."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

import numpy as np

from breeding.animals.lineage import Lineage
from breeding.animals.models import Animal
from breeding.animals.parents.unknown import beliefs_of
from breeding.planning.season.plan import asked_for
from breeding.planning.season.priced import Priced, priced
from breeding.planning.season.readiness import Candidate
from breeding.planning.season.solving import solved, with_the_living
from breeding.planning.season.wishes import Asked, Wishes
from breeding.words.language import message, tell
from pedigree import LivingKinship, NoPlan, UnknownFounders, founders_behind
from pedigree.assumed import FULL
from pedigree.plans.allocation import Pairs
from pedigree.plans.optimal_contributions import diversity_gained
from pedigree.rows import Floats

MOST_TRIED = 6  # founders for whom the plan is made anew
PARENTS = message("the parents of {animal}")
SIRE, DAM = message("the sire of {animal}"), message("the dam of {animal}")


@dataclass(frozen=True)
class ToWrite:
    """One thing nobody wrote down. pairs: how many of the plan would be others. most: by how much
    the mean of what F could be would fall if the animal turned out to be kin to nobody."""

    animal: Animal
    what: str
    pairs: int
    falls: float = 0.0

    @property
    def words(self) -> str:
        return tell(self.what, animal=self.animal.name)


def first_to_write(
    females: Sequence[Candidate],
    males: Sequence[Candidate],
    wishes: Wishes,
    known: Lineage,
    living: Sequence[int],
    chances: Floats | None = None,
    *,
    litter: int,
) -> list[ToWrite]:
    """The plan is made anew for each answer there may be. What changes most comes first.

    Cost: that of twice MOST_TRIED plans, and one for each animal of it whose age or size is
    unknown. Raises NoPlan, LineageError.

    litter: young of a litter, as the plan reckons.
    """
    tried = _Tried(females, males, wishes, known, living, chances, litter)
    found = [*tried.parents(), *tried.ages()]
    return sorted(found, key=lambda one: (-one.pairs, -one.falls, one.animal.name))


class _Tried:
    def __init__(
        self,
        females: Sequence[Candidate],
        males: Sequence[Candidate],
        wishes: Wishes,
        known: Lineage,
        living: Sequence[int],
        chances: Floats | None,
        litter: int,
    ) -> None:
        self.litter = litter
        self.females, self.males, self.wishes = females, males, wishes
        self.known, self.living = known, list(living)
        kinship = LivingKinship.of(known.pedigree, self.living)
        self.hers, self.his = ([one.animal.pk for one in some] for some in (females, males))
        self.beliefs = beliefs_of(known, wishes.unknown_kin)
        self.prices = self._prices(self.beliefs)
        self.asked = asked_for(females, males, wishes, known, self.prices.on_record, chances)
        self.means = with_the_living(kinship, [*self.hers, *self.his])
        self.gained = diversity_gained(kinship, self.hers, self.his, litter)
        self.pairs = self._pairs(self.asked, self.prices)

    def _prices(self, beliefs: UnknownFounders) -> Priced:
        return priced(self.known, self.hers, self.his, self.wishes, beliefs)

    def _pairs(self, asked: Asked, prices: Priced) -> Pairs:
        room = len(self.living), self.litter
        return solved(asked, prices, self.gained, self.means, *room).plan.pairs

    def parents(self) -> Iterator[ToWrite]:
        """Founders behind these animals of whom nobody knows whether they are kin to others."""
        ped = self.known.pedigree
        names, parts = founders_behind(ped, [*self.hers, *self.his])
        weights: dict[int, float] = {}
        for name, weight in zip(names, parts.sum(axis=0).tolist(), strict=True):
            if self._others_of(name):
                weights[name] = weights.get(name, 0.0) + weight
        likely = sorted(weights, key=lambda name: (-weights[name], name))[:MOST_TRIED]
        animals = Animal.every.in_bulk(likely)
        for name in likely:
            alone = self._prices(self.beliefs.without(name))
            ways = [alone]
            if ped.is_founder(name):
                kin = {frozenset((name, other)): FULL for other in self._others_of(name)}
                ways.append(self._prices(self._settled(kin)))
            changed = max(_differ(self.pairs, self._pairs(self.asked, one)) for one in ways)
            falls = [
                float(self.prices.could_be[pair] - alone.could_be[pair]) for pair in self.pairs
            ]
            mean = sum(falls) / len(falls) if falls else 0.0
            if changed or mean > 1e-6:
                yield ToWrite(animals[name], self._whose(name), changed, mean)

    def _settled(self, pairs: Mapping[frozenset[int], Fraction]) -> UnknownFounders:
        return replace(self.beliefs, settled={**self.beliefs.settled, **pairs})

    def _others_of(self, name: int) -> list[int]:
        """Founders that may be kin to it."""
        mine, ped = self.beliefs.sources.get(name, ()), self.known.pedigree
        return [
            other
            for other, theirs in self.beliefs.sources.items()
            if other != name and not set(mine).isdisjoint(theirs) and ped.is_founder(other)
        ]

    def _whose(self, name: int) -> str:
        ped = self.known.pedigree
        if ped.is_founder(name):
            return PARENTS
        return DAM if ped.dam(name) is None else SIRE

    def ages(self) -> Iterator[ToWrite]:
        """Animals of the plan that nobody knows to be fit: if they were not."""
        rows, columns = {row for row, _ in self.pairs}, {column for _, column in self.pairs}
        for at, one in enumerate(self.females):
            if at in rows and one.fitness.unknown:
                yield self._without(one, np.s_[at, :])
        for at, one in enumerate(self.males):
            if at in columns and one.fitness.unknown:
                yield self._without(one, np.s_[:, at])

    def _without(self, one: Candidate, where: Any) -> ToWrite:
        forbidden = self.asked.must_not.copy()
        forbidden[where] = True
        asked: Asked = replace(self.asked, must_not=forbidden)
        try:
            pairs = self._pairs(asked, self.prices)
        except NoPlan:
            pairs = ()
        is_age = one.body.born_on is None
        what = message("the age of {animal}") if is_age else message("the size of {animal}")
        return ToWrite(one.animal, what, _differ(self.pairs, pairs))


def _differ(some: Pairs, others: Pairs) -> int:
    """How many of the one are not in the other."""
    return len(set(some) - set(others))
