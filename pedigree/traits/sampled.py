"""Chances of genotypes by sampling, with their errors: for pedigrees too tangled to be exact."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

from pedigree.errors import LineageError
from pedigree.pedigree import Pedigree
from pedigree.rows import Floats
from pedigree.traits.blocks import Blocks, handed_down
from pedigree.traits.chances import contradictions_named, of_animals
from pedigree.traits.inheritance import STATES, SexLinked
from pedigree.traits.locus import Seen, locus_of
from pedigree.traits.reckoned import Reckoned


@dataclass(frozen=True)
class SampledChances:
    """Chances of 0, 1, 2 copies with the standard error of each, from so many draws."""

    chances: Mapping[Any, Floats]  # (3,) each
    errors: Mapping[Any, Floats]  # (3,) each: "chance, plus or minus error"
    draws: int
    _place: Mapping[Any, int] = field(repr=False)
    _copies: npt.NDArray[np.int8] = field(repr=False)  # (draws, animals)

    def together(self, one: Any, other: Any) -> Floats:
        """Joint chances of the copies of two animals, as often as they were drawn so: (3, 3).

        `PairChances.of` takes it.
        """
        both = STATES * self._copies[:, self._place[one]] + self._copies[:, self._place[other]]
        return np.bincount(both, minlength=STATES**2).reshape(STATES, STATES) / self.draws


def sampled_chances(
    pedigree: Pedigree,
    seen: Seen,
    *,
    frequency: float,
    rng: np.random.Generator,
    sex_linked: SexLinked | None = None,
    chains: int = 32,
    sweeps: int = 60,
) -> SampledChances:
    """The same as `genotype_chances`, nearly, however tangled the pedigree is.

    Blocked Gibbs sampling: `chains` (2 or more) run side by side from one beginning; the first
    third of their `sweeps` (3 or more) is left out. Chances are means of exact ones given the few
    animals held in a sweep. The error is that between chains, which know nothing of each other,
    and not below half a draw: what no chain ever came across it cannot see. Four times the
    sweeps or chains halve it. The same `rng` in the same state gives the same answer.

    Raises what `genotype_chances` does, but for TooTangled. Cost: linear in sweeps; some ten
    seconds for a thousand animals.

    Source: Jensen, Kjaerulff & Kong 1995, Int. J. Hum.-Comput. Stud. 42:647-666; means of exact
    chances: Gelfand & Smith 1990, J. Am. Stat. Assoc. 85:398-409.

    >>> ped = Pedigree.from_rows([("Altair", None, None), ("Vega", None, None),
    ...                           ("Mira", "Altair", "Vega")])
    >>> found = sampled_chances(ped, {"Mira": (0, 0, 1), "Vega": (1, 1, 0)}, frequency=0.5,
    ...                         rng=np.random.default_rng(1))
    >>> found.chances["Vega"].tolist(), found.chances["Altair"].round(9).tolist()
    ([0.0, 1.0, 0.0], [0.0, 0.5, 0.5])
    """
    if chains < 2 or sweeps < 3:
        raise LineageError(f"Sampling takes 2 chains and 3 sweeps or more, not {chains}, {sweeps}.")
    locus = locus_of(pedigree, seen, frequency, sex_linked)
    with contradictions_named(locus):
        whole = Reckoned(locus)
        blocks = Blocks(whole, chains, rng)
        drawn, chances = _swept(blocks, sweeps)
    counted = sweeps - sweeps // 3
    draws = counted * chains
    copies = {node: each.reshape(-1) for node, each in drawn.items()}
    for node, each in handed_down(whole, copies, draws, rng).items():
        chances[node] = each.reshape(counted, chains, STATES).mean(axis=0)
    means = {node: each.mean(axis=0) / each.mean(axis=0).sum() for node, each in chances.items()}
    errors = {
        node: np.maximum(each.std(axis=0, ddof=1) / np.sqrt(chains), 0.5 / draws)
        for node, each in chances.items()
    }
    nodes = pedigree._layout.node_of_row.tolist()
    return SampledChances(
        of_animals(pedigree, means),
        of_animals(pedigree, errors),
        draws,
        {animal: place for place, animal in enumerate(pedigree.ids)},
        np.array([copies[node] for node in nodes], np.int8).T,
    )


def _swept(
    blocks: Blocks, sweeps: int
) -> tuple[dict[int, npt.NDArray[np.int64]], dict[int, Floats]]:
    """Draws of each node, (sweeps, chains), and its mean chances in each chain, (chains, 3)."""
    begin = sweeps // 3
    drawn: list[dict[int, npt.NDArray[np.int64]]] = []
    total: dict[int, Floats] = {}
    for number in range(sweeps):
        found = blocks.sweep(number)
        if number < begin:
            continue
        drawn.append(dict(blocks.copies))
        for node, chances in found.items():
            total[node] = total.get(node, 0) + chances / (sweeps - begin)
    return {node: np.array([one[node] for one in drawn]) for node in total}, total
