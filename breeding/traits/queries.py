"""Questions about traits for pages, plans and sheets; they write nothing."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from breeding.animals.models import Animal
from breeding.traits.inheritance import Belief
from breeding.traits.models import Trait
from breeding.traits.reading import CHAINS, MOST_MEGABYTES, SEED, SWEEPS, Evidence, evidence_of
from pedigree import (
    Contradiction,
    PairChances,
    Pedigree,
    SampledChances,
    TooTangled,
    litter_chances,
    pair_chances,
    sampled_chances,
    young_chances,
)
from pedigree.rows import Floats

Pair = tuple[int, int]  # the keys of sire and dam


@dataclass(frozen=True)
class YoungChances:
    """How likely one young of a pair shows a trait, carries it unseen, or has nothing of it."""

    shows: float
    carries: float
    neither: float

    @property
    def has_it(self) -> float:
        """Shows it or carries it."""
        return self.shows + self.carries


def traits() -> list[Trait]:
    """Every trait that counts, by name."""
    return list(Trait.objects.all())


def chance_of_young(trait: Trait, pairs: Iterable[Pair]) -> dict[Pair, YoungChances]:
    """What one young of each of these pairs, sire and dam, will be: given all that was seen.

    Chances of two that are kin are joint ones. Where nothing was seen on anybody they are those
    of founders. {} where what was seen cannot be: nothing follows from it. Exact, or, where the
    pedigree is too tangled, sampled. A few queries; the cost grows with sires times dams.
    """
    wanted = list(dict.fromkeys(pairs))
    if not wanted:
        return {}
    evidence = evidence_of(trait)
    if any(one.is_impossible for one in evidence.looked.values()):
        return {}
    ped = evidence.pedigree(*{animal for pair in wanted for animal in pair})
    asked: dict[str, Any] = {
        "frequency": evidence.belief.founder_share,
        "sex_linked": evidence.sex_linked,
    }
    try:
        try:
            found = _exact(ped, evidence.says, wanted, evidence.belief, asked)
        except TooTangled:
            rng = np.random.default_rng(SEED)
            drawn = sampled_chances(
                ped, evidence.says, rng=rng, chains=CHAINS, sweeps=SWEEPS, **asked
            )
            found = {pair: _drawn(drawn, pair, evidence) for pair in wanted}
    except Contradiction:
        return {}
    return found


def chance_of_one(
    trait: Trait,
    sires: Sequence[int],
    dams: Sequence[int],
    *,
    young: int,
    look: Literal["shows", "has"],
) -> Floats | None:
    """The chance that of so many young of each sire (row) with each dam (column) at least one
    shows the trait, or has it, shown or carried: 0 to 1.

    As `chance_of_young`, and for one young the same; young of a litter are not independent. None
    where what was seen cannot be. A few queries.
    """
    evidence = evidence_of(trait)
    if any(one.is_impossible for one in evidence.looked.values()):
        return None
    ped, belief = evidence.pedigree(*sires, *dams), evidence.belief
    asked: dict[str, Any] = {
        "frequency": belief.founder_share,
        "sex_linked": evidence.sex_linked,
    }
    try:
        try:
            return litter_chances(
                ped,
                evidence.says,
                sires,
                dams,
                young=young,
                look=look,
                showing=belief.showing,
                most_megabytes=MOST_MEGABYTES,
                **asked,
            )
        except TooTangled:
            rng = np.random.default_rng(SEED)
            drawn = sampled_chances(
                ped, evidence.says, rng=rng, chains=CHAINS, sweeps=SWEEPS, **asked
            )
            rows = [
                [drawn_pair(drawn, sire, dam, evidence).at_least_one(young, look) for dam in dams]
                for sire in sires
            ]
            return np.array(rows, np.float64).reshape(len(sires), len(dams))
    except Contradiction:
        return None


def _exact(
    ped: Pedigree,
    says: Mapping[int, Any],
    pairs: list[Pair],
    belief: Belief,
    asked: Mapping[str, Any],
) -> dict[Pair, YoungChances]:
    if belief.is_sex_linked:  # young of each sex by themselves
        return {
            pair: _of_pair(
                pair_chances(
                    ped,
                    says,
                    *pair,
                    showing=belief.showing,
                    most_megabytes=MOST_MEGABYTES,
                    **asked,
                )
            )
            for pair in pairs
        }
    sires, dams = sorted({sire for sire, _ in pairs}), sorted({dam for _, dam in pairs})
    table = young_chances(ped, says, sires, dams, most_megabytes=MOST_MEGABYTES, **asked)
    found = {}
    for sire, dam in pairs:
        found[sire, dam] = _young(table[sires.index(sire), dams.index(dam)].tolist(), belief)
    return found


def _young(copies: list[float], belief: Belief) -> YoungChances:
    shows = sum(one * two for one, two in zip(copies, belief.showing, strict=True))
    return YoungChances(shows, 1 - shows - copies[0], copies[0])


def _of_pair(pair: PairChances) -> YoungChances:
    return YoungChances(pair.shows, pair.carries, pair.neither)


def _drawn(drawn: SampledChances, pair: Pair, evidence: Evidence) -> YoungChances:
    return _of_pair(drawn_pair(drawn, *pair, evidence))


def drawn_pair(drawn: SampledChances, sire: int, dam: int, evidence: Evidence) -> PairChances:
    """Two animals as they were drawn together."""
    belief = evidence.belief
    single: Literal["", "sire", "dam"] = ""
    if belief.is_sex_linked:
        single = "sire" if belief.one_copy == Animal.Sex.MALE else "dam"
    joint = drawn.together(sire, dam)
    return PairChances.of(sire, dam, joint, belief.showing, single=single)
