"""Plan against lowest-first against random choice, over generations of simulated programs.

Run `python -m benchmarks.compare_plans` for the table of programs of 20, 100 and 500 animals.
"""

import argparse
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from pedigree.ahead.assumptions import Assumptions
from pedigree.ahead.simulation import SimulatedProgram, Start, start_of
from pedigree.errors import LineageError
from pedigree.pedigree import Pedigree

FOUNDERS, GENERATIONS_BEFORE = 8, 3


@dataclass(frozen=True)
class Way:
    """A way to choose pairs; `diversity` as in `balanced_plan`."""

    says: str
    pairs: Literal["random", "lowest", "plan"]
    diversity: float = 0.0


WAYS = (
    Way("random", "random"),
    Way("lowest F first", "lowest"),
    Way("plan, only F", "plan", 0.0),
    Way("plan, half and half", "plan", 0.5),
    Way("plan, only diversity", "plan", 1.0),
)


@dataclass(frozen=True)
class Kept:
    """What is left after the generations: means over the replicates, with standard errors."""

    way: Way
    gene_diversity: float
    gene_diversity_error: float
    inbreeding: float
    inbreeding_error: float
    founder_genomes_surviving: float


def seeded_start(animals: int, seed: int) -> Start:
    """A program of so many animals, half of each sex, three random generations from founders.

    Eight founders, or a tenth of the animals if that is more. The first males of each generation
    sire more than the others, as in life, so that their families are of unequal size.
    """
    if animals < 8 or animals % 2:
        raise LineageError(f"A program to compare has an even number from 8 on, not {animals}.")
    rng = np.random.default_rng(seed)
    founders = max(FOUNDERS, animals // 10)
    rows: list[tuple[str, str | None, str | None]] = [
        (f"0-{n}", None, None) for n in range(founders)
    ]
    before = [name for name, _, _ in rows]
    for generation in range(1, GENERATIONS_BEFORE + 1):
        males, females = before[::2], before[1::2]
        weights = 1 / np.arange(1, len(males) + 1)
        born = []
        for n in range(animals):
            sire = males[rng.choice(len(males), p=weights / weights.sum())]
            born.append((f"{generation}-{n}", sire, females[rng.integers(len(females))]))
        rows += born
        before = [name for name, _, _ in born]
    return start_of(
        Pedigree.from_rows(rows), before, females=before[1::2], males=before[::2], age_years={}
    )


def after_generations(
    start: Start,
    way: Way,
    seed: int,
    *,
    generations: int = 5,
    most_females_per_male: int = 2,
    young_per_litter: int = 4,
) -> SimulatedProgram:
    """The last of some generations that do not overlap, each as large as the one before.

    Half of the females are paired; each litter has so many young, half of each sex, and as many as
    there were animals are kept by chance, half of each sex if there are enough. All ways get the
    same limits and the same seed.
    """
    rng = np.random.default_rng(seed)
    a = Assumptions(most_females_per_male=most_females_per_male, diversity=way.diversity, loci=50)
    program = SimulatedProgram.begun(start, a, rng)
    size = len(program)
    for _ in range(generations):
        females, males = np.flatnonzero(program.is_female), np.flatnonzero(~program.is_female)
        litters = max(1, size // young_per_litter)
        dams, sires = program.pairs(way.pairs, females, males, litters, a, rng)
        dams, sires = np.repeat(dams, young_per_litter), np.repeat(sires, young_per_litter)
        is_female = np.arange(len(dams)) % 2 == 0
        order = rng.permutation(len(dams))[:size]
        program = program.with_young(
            np.empty(0, np.int64), dams[order], sires[order], is_female[order], rng
        )
    return program


def compare(
    starts: Sequence[Start], ways: Sequence[Way] = WAYS, *, seed: int = 1, generations: int = 5
) -> list[Kept]:
    """Every way in every program, as many replicates as there are starts.

    `starts` may be one program many times, or programs of different seeds.
    """
    found = []
    for way in ways:
        figures = np.array(
            [
                after_generations(start, way, seed + n, generations=generations).figures(0.0)
                for n, start in enumerate(starts)
            ]
        )
        mean = figures.mean(axis=0)
        error = figures.std(axis=0, ddof=1) / len(starts) ** 0.5 if len(starts) > 1 else mean * 0
        found.append(Kept(way, mean[2], error[2], mean[1], error[1], mean[4]))
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("animals", nargs="*", type=int, default=[20, 100, 500])
    parser.add_argument("--replicates", type=int, default=10)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    for animals in given.animals:
        starts = [seeded_start(animals, given.seed + n) for n in range(given.replicates)]
        begun = [
            SimulatedProgram.begun(one, replace(Assumptions(), loci=50), np.random.default_rng(0))
            for one in starts
        ]
        today = np.array([one.figures(0.0) for one in begun]).mean(axis=0)
        print(f"\n{animals} animals, {given.replicates} programs, five generations")
        print(f"{'':22}{'gene diversity':>18}{'mean F':>18}{'founder genomes left':>22}")
        print(f"{'at the start':22}{today[2]:>18.4f}{today[1]:>18.4f}{today[4]:>22.2f}")
        for kept in compare(starts, seed=given.seed):
            diversity = f"{kept.gene_diversity:.4f} ± {kept.gene_diversity_error:.4f}"
            inbreeding = f"{kept.inbreeding:.4f} ± {kept.inbreeding_error:.4f}"
            print(
                f"{kept.way.says:22}{diversity:>18}{inbreeding:>18}"
                f"{kept.founder_genomes_surviving:>22.2f}",
                flush=True,
            )


if __name__ == "__main__":
    main()
