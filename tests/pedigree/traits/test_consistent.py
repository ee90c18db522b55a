"""Whether everything seen can be, and one way in which it can, against every genotype."""

import random

import numpy as np
import pytest

from pedigree import Pedigree
from pedigree.traits.consistent import a_way, is_possible
from pedigree.traits.locus import locus_of
from tests.pedigree.families import random_rows
from tests.pedigree.traits import brute

EITHER_PURE = (1, 0, 1)  # no animal can have one copy: the first guess does not fit


@pytest.mark.parametrize("seed", range(30))
def test_a_way_is_found_where_there_is_one(seed):
    chance = random.Random(seed)
    rows = [(*row[:3], None) for row in random_rows(seed, animals=7, unknown=0.0, selfing=True)]
    looks = [EITHER_PURE, EITHER_PURE, (1, 1, 1), (1, 1, 0), (0, 1, 1), (1, 0, 0), (0, 0, 1)]
    seen = {row[0]: chance.choice(looks) for row in rows}
    locus = locus_of(Pedigree.from_rows(rows), seen, 0.3)
    can_be = brute.chances(rows, seen, 0.3) is not None
    assert is_possible(locus) == can_be
    assert is_possible(locus, most_megabytes=0) == can_be  # by the search alone
    way = a_way(locus)
    assert (way is not None) == can_be
    if way is not None:
        at = {label: node for node, label in enumerate(locus.label)}
        core = locus.above(np.flatnonzero(locus.informed()).tolist())
        bearing = [row[:3] for row in rows if core[at[row[0]]]]
        assert brute.weight(bearing, at, way, seen, 0.3, None) > 0


def test_guesses_that_lead_nowhere_are_taken_back():
    # P and Q are pure, and each is a young of S and D; Y, of P and Q, has one copy: so one of them
    # has two copies, the other none, and S and D have one each.
    rows = [("S", None, None), ("D", None, None), ("P", "S", "D"), ("Q", "S", "D"), ("Y", "P", "Q")]
    seen = {"P": EITHER_PURE, "Q": EITHER_PURE, "Y": (0, 1, 0)}
    ped = Pedigree.from_rows(rows)
    way = a_way(locus_of(ped, seen, 0.3))
    copies = dict(zip(ped.ids, way[ped._layout.node_of_row].tolist(), strict=True))
    assert (copies["S"], copies["D"], copies["Y"]) == (1, 1, 1)
    assert {copies["P"], copies["Q"]} == {0, 2}


def test_nothing_seen_can_always_be():
    locus = locus_of(Pedigree.from_rows([("S", None, None)]), {}, 0.3)
    assert is_possible(locus)
    np.testing.assert_array_equal(a_way(locus), [0])
