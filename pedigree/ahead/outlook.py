"""The next years of a program, simulated many times under several policies, with bands."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from dataclasses import dataclass, replace
from multiprocessing import get_context

import numpy as np

from pedigree.ahead.assumptions import POLICIES, Assumptions, Policy
from pedigree.ahead.simulation import FIGURES, SimulatedProgram, Start
from pedigree.errors import LineageError
from pedigree.rows import Floats, Ints

PIECE = 5  # replicates handed to a process at once
LOOK_SECONDS = 0.2  # how often the wish to stop is asked for

Progress = Callable[[int, int], None]  # done, in all
Stop = Callable[[], bool]


class Stopped(Exception):  # noqa: N818 - reads as a sentence
    """The look ahead was stopped before its end; there is no result."""


@dataclass(frozen=True)
class Outlook:
    """What the simulated programs came to. Year 0 is today."""

    assumptions: Assumptions  # with the places as they were taken
    policies: tuple[Policy, ...]
    values: Mapping[str, Floats]  # policy key to (replicates, years + 1, FIGURES)

    def replicates(self, policy: str, figure: str) -> Floats:
        """One figure in every simulated program: (replicates, years + 1)."""
        if policy not in self.values:
            raise LineageError(
                f"There is no policy {policy!r}; there are {', '.join(self.values)}."
            )
        if figure not in FIGURES:
            raise LineageError(f"There is no figure {figure!r}; there are {', '.join(FIGURES)}.")
        return self.values[policy][:, :, FIGURES.index(figure)]

    def band(self, policy: str, figure: str, percents: Sequence[float] = (5, 50, 95)) -> Floats:
        """Percentiles over the simulated programs: (percents, years + 1).

        Programs where the figure does not exist in a year are left out (no young born; nobody
        living); nan where no program has it. A band says how chance spreads, not how sure the
        assumptions are.
        """
        values = self.replicates(policy, figure)
        found = np.full((len(percents), values.shape[1]), np.nan)
        for year, column in enumerate(values.T):
            there = column[~np.isnan(column)]
            if len(there):
                found[:, year] = np.percentile(there, percents)
        return found

    def died_out(self, policy: str) -> float:
        """Share of the simulated programs without a living animal at the end."""
        return float((self.replicates(policy, "living")[:, -1] == 0).mean())


def look_ahead(
    start: Start,
    generator: "np.random.Generator",
    assumptions: Assumptions | None = None,
    policies: Sequence[Policy] = POLICIES,
    *,
    workers: int = 1,
    progress: Progress | None = None,
    stop: Stop | None = None,
) -> Outlook:
    """Simulate the program's next years under each policy.

    Each replicate drops founders' genes to today's living and follows genes and exact expected
    kinship through pairings, births, deaths and departures (`SimulatedProgram.year`;
    `assumptions.RULES` says in words what is assumed). Every policy sees the same seeds, and every
    replicate has a seed of its own drawn from `generator`, so that a generator in the same state
    gives the same answer whatever the number of `workers` (processes; 1: this one).
    `progress(done, in_all)` is called after every few replicates; `stop()` is asked as often, and
    at least every 0.2 s with several workers: when it says yes, Stopped is raised.

    Cost: for 100 animals, ten years and 200 replicates under three policies some 30 s of
    processor, most of it for the plans; half of that on two processors.

    Source: gene dropping, MacCluer et al. 1986, Zoo Biol. 5:147-160; the rest is own construction.

    >>> from pedigree import Pedigree
    >>> from pedigree.ahead.simulation import start_of
    >>> ped = Pedigree.from_rows([("Altair", None, None), ("Vega", None, None)])
    >>> start = start_of(ped, ["Altair", "Vega"], females=["Vega"], males=["Altair"],
    ...                  age_years={"Altair": 3, "Vega": 4})
    >>> few = Assumptions(years=2, replicates=3, places=8)
    >>> outlook = look_ahead(start, np.random.default_rng(1), few)
    >>> outlook.band("as_now", "gene_diversity")[:, 0].tolist()
    [0.75, 0.75, 0.75]
    """
    a = assumptions or Assumptions()
    if a.places is None:
        a = replace(a, places=max(1, len(start.sex)))
    if workers < 1:
        raise LineageError(f"At least one worker is needed, not {workers}.")
    keys = [policy.key for policy in policies]
    if not keys or len(set(keys)) < len(keys):
        raise LineageError(f"Policies have keys of their own, at least one; given were {keys}.")
    seeds = generator.integers(0, 2**63, a.replicates)
    pieces = [
        (policy, first, seeds[first : first + PIECE])
        for first in range(0, a.replicates, PIECE)
        for policy in policies
    ]
    values = {key: np.empty((a.replicates, a.years + 1, len(FIGURES))) for key in keys}
    done = 0
    for number, part in _worked_out(start, a, pieces, workers, stop):
        policy, first, some = pieces[number]
        values[policy.key][first : first + len(some)] = part
        done += len(some)
        if progress is not None:
            progress(done, a.replicates * len(keys))
    return Outlook(a, tuple(policies), values)


Piece = tuple[Policy, int, Ints]  # the policy, the number of the first replicate, their seeds


def _worked_out(
    start: Start, assumptions: Assumptions, pieces: list[Piece], workers: int, stop: Stop | None
) -> Iterator[tuple[int, Floats]]:
    """The pieces as they get ready, with their numbers."""
    if workers == 1:
        for number, (policy, _, seeds) in enumerate(pieces):
            if stop is not None and stop():
                raise Stopped
            yield number, simulated(start, assumptions, policy, seeds)
        return
    # Fresh processes, because a copy of one with threads may hang on a lock of theirs.
    with ProcessPoolExecutor(workers, get_context("spawn")) as pool:
        waiting: dict[Future[Floats], int] = {}
        left = list(enumerate(pieces))[::-1]
        try:
            while waiting or left:
                while left and len(waiting) < 2 * workers:
                    number, (policy, _, seeds) = left.pop()
                    future = pool.submit(simulated, start, assumptions, policy, seeds)
                    waiting[future] = number
                ready, _ = wait(waiting, LOOK_SECONDS, FIRST_COMPLETED)
                for future in ready:
                    yield waiting.pop(future), future.result()
                if stop is not None and stop():
                    raise Stopped
        finally:
            for future in waiting:
                future.cancel()


def simulated(start: Start, assumptions: Assumptions, policy: Policy, seeds: Ints) -> Floats:
    """Figures of one program a seed: (seeds, years + 1, FIGURES)."""
    found = np.empty((len(seeds), assumptions.years + 1, len(FIGURES)))
    for at, seed in enumerate(seeds):
        rng = np.random.default_rng(int(seed))
        program = SimulatedProgram.begun(start, assumptions, rng)
        found[at, 0] = program.figures(np.nan)
        for year in range(1, assumptions.years + 1):
            program, inbreeding_of_young = program.year(year, policy, assumptions, rng)
            found[at, year] = program.figures(inbreeding_of_young)
    return found
