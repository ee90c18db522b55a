"""What F could be if unknown founders were kin: by hand, and against parents written out."""

from fractions import Fraction
from itertools import combinations

import numpy as np
import pytest

from pedigree import (
    LineageError,
    Pedigree,
    UnknownFounders,
    founders_behind,
    possible_kinship,
    unknown_share,
)
from tests.pedigree.families import random_rows

SHOP = ["a shop"]
FOUNDERS = [(one, None, None) for one in "ABCD"]


def could_be(ped, one, other, **beliefs):
    return float(possible_kinship(ped, [one, other], UnknownFounders(**beliefs))[0, 1])


def test_two_of_one_shop_are_half_as_likely_as_littermates_kin():
    ped = Pedigree.from_rows(FOUNDERS)
    sources = {"A": SHOP, "B": SHOP, "C": ["another"]}
    assert could_be(ped, "A", "B", sources=sources) == 1 / 8
    assert could_be(ped, "A", "B", sources=sources, kinship=Fraction(1, 4)) == 1 / 4
    assert could_be(ped, "A", "C", sources=sources) == 0
    assert could_be(ped, "A", "D", sources=sources) == 0  # nothing is believed of D
    assert could_be(ped, "A", "A", sources=sources) == 0.5


def test_a_generation_on_each_side_leaves_a_quarter_of_it():
    """X of A, Y of B, their other parents from the wild: a gene of each stems from A and B with
    1/2 x 1/2, and these are the same by descent with 1/8: 1/32."""
    ped = Pedigree.from_rows([*FOUNDERS, ("X", "A", "C"), ("Y", "B", "D")])
    assert could_be(ped, "X", "Y", sources={"A": SHOP, "B": SHOP}) == 1 / 32
    assert could_be(ped, "X", "B", sources={"A": SHOP, "B": SHOP}) == 1 / 16


def test_young_of_two_of_one_shop_are_inbred_themselves():
    """F of X is 1/8, so its kinship with itself is 9/16; full siblings: (1/2 + 1/2 + 1/4) / 4."""
    ped = Pedigree.from_rows([*FOUNDERS, ("X", "A", "B"), ("Y", "A", "B")])
    table = possible_kinship(ped, ["X", "Y"], UnknownFounders({"A": SHOP, "B": SHOP}))
    assert table.tolist() == [[9 / 16, 5 / 16], [5 / 16, 9 / 16]]


def test_a_parent_without_a_name_may_be_kin_too():
    """The unknown sire of X may be a sibling of B: 1/2 x 1/8."""
    ped = Pedigree.from_rows([*FOUNDERS, ("X", None, "A")])
    assert could_be(ped, "X", "B", sources={"X": SHOP, "B": SHOP}) == 1 / 16
    assert could_be(ped, "X", "B", sources={"B": SHOP}) == 0


def test_littermates_share_the_sire_nobody_knows():
    """1/4 (k(A, A) + 2 k(A, sire) + k(sire, sire)): 1/4 without kin, 5/16 where A may be his."""
    ped = Pedigree.from_rows([("A", None, None), ("X", None, "A", 1), ("Y", None, "A", 1)])
    assert could_be(ped, "X", "Y", sources={}) == 1 / 4
    both = {"A": SHOP, "X": SHOP, "Y": SHOP}
    assert could_be(ped, "X", "Y", sources=both) == (1 / 2 + 2 / 8 + 1 / 2) / 4


def test_what_is_said_of_two_stands_whatever_their_sources():
    ped = Pedigree.from_rows(FOUNDERS)
    said = {frozenset("AB"): Fraction(0), frozenset("CD"): Fraction(3, 16)}
    sources = dict.fromkeys("ABCD", SHOP)
    assert could_be(ped, "A", "B", sources=sources, settled=said) == 0
    assert could_be(ped, "C", "D", sources=sources, settled=said) == 3 / 16
    assert could_be(ped, "A", "C", sources=sources, settled=said) == 1 / 8


def test_known_to_be_kin_to_nobody():
    beliefs = UnknownFounders(dict.fromkeys("ABCD", SHOP)).without("A")
    found = possible_kinship(Pedigree.from_rows(FOUNDERS), [*"ABC"], beliefs)
    assert (found[0, 1], found[0, 2], found[1, 2]) == (0, 0, 1 / 8)


def test_a_belief_that_cannot_be_is_refused():
    ped = Pedigree.from_rows(FOUNDERS)
    with pytest.raises(LineageError, match="from 0 to 1/4, not 1/2"):
        possible_kinship(ped, ["A"], UnknownFounders({}, Fraction(1, 2)))


@pytest.mark.parametrize("seed", range(12))
def test_with_nothing_believed_it_is_the_kinship_on_record(seed):
    rows = random_rows(seed, animals=24, uncertain=0.2)
    ped = Pedigree.from_rows(rows)
    found = possible_kinship(ped, ped.ids, UnknownFounders({}))
    assert np.allclose(found, ped.kinship_matrix(ped.ids), atol=1e-14)


@pytest.mark.parametrize("seed", range(12))
def test_it_is_as_if_the_keeper_had_said_so_of_each_pair(seed):
    """Against the engine of assumed kinship, in which phantom parents make a group kin."""
    rows = random_rows(seed, animals=24, uncertain=0.2)
    plain = Pedigree.from_rows(rows)
    founders = [one for one in plain.ids if plain.is_founder(one) and plain.litter(one) is None]
    half_known = {one: () for one in plain.ids if one not in founders}
    for kinship in (Fraction(1, 8), Fraction(1, 4)):
        assumed = [(one, other, kinship) for one, other in combinations(founders, 2)]
        expected = Pedigree.from_rows(rows, assumed).kinship_matrix(plain.ids)
        beliefs = UnknownFounders(half_known | dict.fromkeys(founders, SHOP), kinship)
        assert np.allclose(possible_kinship(plain, plain.ids, beliefs), expected, atol=1e-12)


def test_how_much_is_unknown():
    ped = Pedigree.from_rows([*FOUNDERS, ("X", "A", "B"), ("Y", "X", None), ("Z", "A", "C")])
    found = unknown_share(ped, [*"AXYZ"], known=["A", "C"])
    assert found.tolist() == [0, 1 / 2, 3 / 4, 0]
    names, parts = founders_behind(ped, ["Y"])
    assert {name: part for name, part in zip(names, parts[0], strict=True) if part} == {
        "A": 1 / 4,
        "B": 1 / 4,
        "Y": 1 / 2,  # the parent of Y that nobody knows
    }
