"""What F of each pair is by what is on record, what it could be, and what a plan reckons with."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from breeding.animals.lineage import Lineage
from breeding.animals.parents.unknown import beliefs_of, unknown_of
from breeding.planning.season.wishes import CAUTIOUS, Wishes
from pedigree import UnknownFounders, possible_kinship
from pedigree.rows import Floats

# So little that it decides only between pairs of one F: then the one of whom more is known.
TIE = 1e-6
BEYOND_TIES = 1e-4  # what changes a plan by less is a tie


@dataclass(frozen=True)
class Priced:
    """Tables over these females (rows) and males (columns), and among all of these.

    on_record: expected F, as on every page. least: the same without what is assumed of founders.
    could_be: what it could be if unknown founders are kin as believed. unknown: what part of the
    genes of the two nobody can follow. among: kinship of all of these on record. kinship: as the
    plan reckons, with a trifle for what is unknown.
    """

    on_record: Floats
    least: Floats
    could_be: Floats
    unknown: Floats
    among: Floats
    kinship: Floats
    rows: tuple[int, ...]  # places of the females among these
    columns: tuple[int, ...]

    @cached_property
    def cost(self) -> Floats:
        """F as the plan reckons it."""
        found: Floats = self.kinship[np.ix_(self.rows, self.columns)]
        return found


def priced(
    known: Lineage,
    hers: Sequence[int],
    his: Sequence[int],
    wishes: Wishes,
    beliefs: UnknownFounders | None = None,
) -> Priced:
    """beliefs: others than what is wished for. Cost: the square of these and their ancestors,
    however many others are living."""
    asked = [*hers, *his]
    rows, columns = range(len(hers)), range(len(hers), len(asked))
    block = np.ix_(rows, columns)
    matrix = known.pedigree.kinship_matrix(asked)
    beliefs = beliefs or beliefs_of(known, wishes.unknown_kin)
    could_be = np.maximum(possible_kinship(known.pedigree, asked, beliefs), matrix)
    unknown = unknown_of(known, asked)
    least = matrix
    if known.pedigree.assumed:
        least = np.minimum(known.as_recorded.kinship_matrix(asked), matrix)
    reckoned = (could_be if wishes.figure == CAUTIOUS else matrix).copy()
    both = (unknown[rows][:, None] + unknown[columns]) / 2
    reckoned[block] += TIE * both
    reckoned[np.ix_(columns, rows)] = reckoned[block].T
    return Priced(
        *(matrix[block], least[block], could_be[block], both, matrix, reckoned),
        tuple(rows),
        tuple(columns),
    )
