"""A program of animals that lives on: kinship and founders' genes through pairings and births."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from pedigree.ahead.assumptions import Assumptions, Policy
from pedigree.errors import LineageError
from pedigree.figures.diversity import nodes_of
from pedigree.layout import Levels
from pedigree.pedigree import Pedigree
from pedigree.plans.allocation import plan_pairings
from pedigree.plans.balanced import balanced_plan
from pedigree.plans.flow import Network
from pedigree.rows import Floats, Ints

Bools = npt.NDArray[np.bool_]
Genes = npt.NDArray[np.int32]

FIGURES = (
    "living",  # how many animals
    "inbreeding",  # their mean F
    "gene_diversity",  # 1 - mean kinship, each with itself too
    "founder_genomes",  # by kinship: 1 / (2 mean kinship)
    "founder_genomes_surviving",  # different founder genes at a locus / 2, by gene dropping
    "inbreeding_of_young",  # mean F of those born in the year; nan when there are none
)
UNKNOWN_SEX, FEMALE, MALE = 0, 1, 2


@dataclass(frozen=True)
class Start:
    """The living of today, as far as a look ahead needs them. Made by `start_of`."""

    kinship: Floats  # (n, n)
    sex: npt.NDArray[np.int8]  # (n,) UNKNOWN_SEX, FEMALE, MALE
    age_years: Floats  # (n,) nan: unknown
    ancestry: Levels  # their ancestors, with a founder for every unknown parent
    places: Ints  # (n,) of the living in `ancestry`


def start_of(
    ped: Pedigree,
    living: Sequence[Any],
    *,
    females: Iterable[Any],
    males: Iterable[Any],
    age_years: dict[Any, float | None],
) -> Start:
    """Kinship, sex and age of the living, and their ancestry to drop genes through.

    Those in neither `females` nor `males` have an unknown sex, those without an age an unknown
    one. Raises UnknownAnimal, DuplicateAnimal, and LineageError for an age below 0 or an animal of
    both sexes. Cost: that of `Pedigree.kinship_matrix`.
    """
    nodes = nodes_of(ped, living, ped._kin)
    female, male = set(females), set(males)
    if both := female & male:
        raise LineageError(f"{next(iter(both))} is given as a female and as a male.")
    ages = []
    for animal in living:
        age = age_years.get(animal)
        if age is not None and not age >= 0:
            raise LineageError(f"The age of {animal} is 0 years or more, not {age}.")
        ages.append(np.nan if age is None else float(age))
    levels = ped._kin.levels(ped._kin.closure(nodes)).completed()
    sex = [FEMALE if one in female else MALE if one in male else UNKNOWN_SEX for one in living]
    return Start(
        ped.kinship_matrix(living),
        np.array(sex, np.int8),
        np.array(ages, np.float64),
        levels,
        levels.place[nodes],
    )


@dataclass(frozen=True)
class SimulatedProgram:
    """The living of one moment in one simulated program."""

    kinship: Floats  # (n, n)
    is_female: Bools  # (n,)
    age_years: Floats  # (n,)
    genes: Genes  # (n, 2, loci), which founder gene each carries
    founder_genes: int  # how many there have been

    @classmethod
    def begun(
        cls, start: Start, assumptions: Assumptions, rng: "np.random.Generator"
    ) -> "SimulatedProgram":
        """Today's living, with genes dropped from their founders."""
        is_female = start.sex == FEMALE
        unknown = start.sex == UNKNOWN_SEX
        is_female[unknown] = rng.random(int(unknown.sum())) < 0.5
        grown = np.where(
            is_female, assumptions.first_breeding_female, assumptions.first_breeding_male
        )
        ages = np.where(np.isnan(start.age_years), grown, start.age_years)
        founders = int(start.ancestry.starts[1]) if len(start.places) else 0
        genes = dropped_genes(start.ancestry, founders, assumptions.loci, rng)
        return cls(start.kinship, is_female, ages, genes[start.places], 2 * founders)

    def __len__(self) -> int:
        return len(self.is_female)

    def figures(self, inbreeding_of_young: float) -> list[float]:
        """In the order of FIGURES. A program without animals has no diversity, and no mean F."""
        if not len(self):
            return [0, np.nan, 0, 0, 0, inbreeding_of_young]
        mean = float(self.kinship.mean())
        loci = self.genes.shape[2]
        ordered = np.sort(self.genes.reshape(-1, loci), axis=0)
        different = loci + int((ordered[1:] != ordered[:-1]).sum())
        return [
            len(self),
            2 * float(self.kinship.diagonal().mean()) - 1,
            1 - mean,
            1 / (2 * mean),
            different / loci / 2,
            inbreeding_of_young,
        ]

    def with_founder_pairs(self, pairs: int, assumptions: Assumptions) -> "SimulatedProgram":
        """Together with grown, unrelated, non-inbred pairs from elsewhere."""
        if not pairs:
            return self
        old, new, loci = len(self), 2 * pairs, self.genes.shape[2]
        kinship = np.zeros((old + new, old + new))
        kinship[:old, :old] = self.kinship
        kinship[range(old, old + new), range(old, old + new)] = 0.5
        fresh = np.arange(2 * new, dtype=np.int32).reshape(new, 2, 1) + self.founder_genes
        is_female = np.tile([True, False], pairs)
        ages = np.where(
            is_female, assumptions.first_breeding_female, assumptions.first_breeding_male
        )
        return SimulatedProgram(
            kinship,
            np.append(self.is_female, is_female),
            np.append(self.age_years, ages),
            np.concatenate([self.genes, np.tile(fresh, (1, 1, loci)).astype(np.int32)]),
            self.founder_genes + 2 * new,
        )

    def with_young(
        self, keep: Ints, dams: Ints, sires: Ints, is_female: Bools, rng: "np.random.Generator"
    ) -> "SimulatedProgram":
        """Those kept, and young (age 0) of these dams and sires; all numbered as here.

        Cost: young times living.
        """
        half = (self.kinship[dams] + self.kinship[sires]) / 2
        among = (half[:, dams] + half[:, sires]) / 2
        np.fill_diagonal(among, (1 + self.kinship[dams, sires]) / 2)
        to_old = half[:, keep]
        kinship = np.block([[self.kinship[np.ix_(keep, keep)], to_old.T], [to_old, among]])
        genes = np.stack([_gamete(self.genes, one, rng) for one in (sires, dams)], axis=1)
        return SimulatedProgram(
            kinship,
            np.append(self.is_female[keep], is_female),
            np.append(self.age_years[keep], np.zeros(len(dams))),
            np.concatenate([self.genes[keep], genes]),
            self.founder_genes,
        )

    def pairs(
        self,
        how: Literal["random", "lowest", "plan"],
        females: Ints,
        males: Ints,
        count: int,
        assumptions: Assumptions,
        rng: "np.random.Generator",
        young_share: float = 1.0,
    ) -> tuple[Ints, Ints]:
        """Females and males of up to `count` pairings; each female once, males within their limit.

        "random": any; "lowest": the pair of lowest F first; "plan": `balanced_plan`, the young
        being `young_share` of the living to come. Random numbers are drawn alike for every way.
        """
        per_male = min(assumptions.most_females_per_male, max(len(females), 1))
        drawn = rng.permutation(len(females))
        offered = rng.permutation(np.repeat(np.arange(len(males)), per_male))
        count = min(count, len(females), len(offered))
        if not count:
            return np.empty(0, np.int64), np.empty(0, np.int64)
        if how == "random":
            return females[drawn[:count]], males[offered[:count]]
        inbreeding = self.kinship[np.ix_(females, males)]
        most = assumptions.most_inbreeding
        allowed = np.ones(inbreeding.shape, np.bool_) if most is None else inbreeding <= most
        if most is not None:
            room = np.full(len(males), per_male)
            count = Network(
                np.zeros(allowed.shape), allowed, np.ones(len(females), np.int64), room
            ).largest()[0]
            if not count:
                return np.empty(0, np.int64), np.empty(0, np.int64)
        if how == "plan":
            pairs = balanced_plan(
                self.kinship,
                females,
                males,
                diversity=assumptions.diversity,
                young_share=young_share,
                per_male=per_male,
                forbidden=~allowed,
                litters=count,
            ).pairs
        else:
            pairs = plan_pairings(
                inbreeding, per_male=per_male, forbidden=~allowed, litters=count
            ).lowest_first.pairs
        chosen = np.array(pairs, np.int64)
        return females[chosen[:, 0]], males[chosen[:, 1]]

    def year(
        self, year: int, policy: Policy, assumptions: Assumptions, rng: "np.random.Generator"
    ) -> tuple["SimulatedProgram", float]:
        """The program a year later, and the mean F of the young born in it (nan: none)."""
        a = assumptions
        here = self.with_founder_pairs(policy.brought_in(year), a)
        may_breed = here.age_years < (np.inf if a.last_breeding is None else a.last_breeding)
        females = np.flatnonzero(
            here.is_female & may_breed & (here.age_years >= a.first_breeding_female)
        )
        males = np.flatnonzero(
            ~here.is_female & may_breed & (here.age_years >= a.first_breeding_male)
        )
        count = int(rng.binomial(len(females), a.females_paired))
        kept = count * a.litters_per_pair * a.young_per_litter
        kept *= (1 - a.deaths_first_year) * (1 - a.departures_young)
        share = kept / max(kept + len(here), 1)
        dams, sires = here.pairs(policy.pairs, females, males, count, a, rng, share)
        whole = int(a.litters_per_pair)
        litters = whole + (rng.random(len(dams)) < a.litters_per_pair - whole)
        dams, sires = np.repeat(dams, litters), np.repeat(sires, litters)
        young = 1 + rng.poisson(a.young_per_litter - 1, len(dams))
        dams, sires = np.repeat(dams, young), np.repeat(sires, young)
        born = here.kinship[dams, sires]
        stays = (rng.random(len(dams)) >= a.deaths_first_year) & (
            rng.random(len(dams)) >= a.departures_young
        )
        keep = np.flatnonzero(
            (rng.random(len(here)) >= a.deaths_grown)
            & (rng.random(len(here)) >= a.departures_grown)
        )
        staying = np.flatnonzero(stays)
        in_turn = rng.permutation(staying)
        if a.places is not None:
            in_turn = in_turn[: max(0, a.places - len(keep))]
        staying = np.sort(in_turn)
        is_female = rng.random(len(staying)) < a.females_at_birth
        after = here.with_young(keep, dams[staying], sires[staying], is_female, rng)
        aged = SimulatedProgram(
            after.kinship, after.is_female, after.age_years + 1, after.genes, after.founder_genes
        )
        return aged, float(born.mean()) if len(born) else np.nan


def _gamete(genes: Genes, parents: Ints, rng: "np.random.Generator") -> Genes:
    """One gene of each parent at every locus, either with chance 1/2: (young, loci)."""
    loci = genes.shape[2]
    which = rng.integers(0, 2, (len(parents), loci))
    chosen: Genes = genes[parents[:, None], which, np.arange(loci)]
    return chosen


def dropped_genes(levels: Levels, founders: int, loci: int, rng: "np.random.Generator") -> Genes:
    """Founders' genes handed down a pedigree: (nodes, 2, loci), numbers of founder genes.

    A sire that is one of several is the same one at every locus. Cost: nodes times loci.
    Source: MacCluer et al. 1986, Zoo Biol. 5:147-160.
    """
    genes = np.empty((len(levels.first), 2, loci), np.int32)
    genes[:founders] = np.arange(2 * founders, dtype=np.int32).reshape(founders, 2, 1)
    for begin, end in levels.slices()[1:]:
        one, other = levels.first[begin:end], levels.second[begin:end]
        genes[begin:end, 0] = _gamete(genes, one, rng)
        genes[begin:end, 1] = _gamete(genes, other, rng)
        mixed = np.flatnonzero(levels.is_mixture[begin:end])
        if len(mixed):
            from_one = rng.random(len(mixed)) < levels.share[begin:end][mixed]
            genes[begin + mixed] = genes[np.where(from_one, one[mixed], other[mixed])]
    return genes
