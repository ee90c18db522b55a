"""Young of a pair: known answers, kin as parents, and when a carrier is cleared."""

import numpy as np
import pytest

from pedigree import (
    LineageError,
    PairChances,
    Pedigree,
    SexLinked,
    genotype_chances,
    pair_chances,
    young_chances,
)
from tests.pedigree.families import random_rows
from tests.pedigree.traits import brute
from tests.pedigree.traits.test_chances import seen_at_random

FREE, CARRIES, NO, SHOWS = (1, 0, 0), (0, 1, 0), (1, 1, 0), (0, 0, 1)
EXACT = {"rtol": 0, "atol": 1e-12}
PAIR = Pedigree.from_rows([("S", None, None), ("D", None, None)])


def pair(seen, frequency=0.3, **more):
    return pair_chances(PAIR, seen, "S", "D", frequency=frequency, **more)


def test_two_carriers_have_one_in_four_that_shows_it():
    found = pair({"S": CARRIES, "D": CARRIES})
    assert (found.shows, found.carries, found.neither) == (0.25, 0.5, 0.25)
    assert found.at_least_one(2) == pytest.approx(7 / 16, abs=1e-15)
    assert found.at_least_one(2, "carries") == pytest.approx(3 / 4, abs=1e-15)
    # 0.75^n is at most 0.05 from 11 young on, at most 0.01 from 17 on.
    assert (found.young_for(0.95), found.young_for(0.99)) == (11, 17)


def test_a_dominant_trait_shows_with_one_copy():
    found = pair({"S": CARRIES, "D": FREE}, showing=(0, 1, 1))
    assert (found.shows, found.carries, found.neither) == (0.5, 0, 0.5)


@pytest.mark.parametrize(("chance", "young"), [(0.5, 0), (0.95, 5), (0.99, 7)])
def test_a_test_cross_clears_from_even_odds(chance, young):
    # Odds of 1 to 2^n: 1/33 after five, 1/65 after six, 1/129 after seven.
    parents = np.zeros((3, 3))
    parents[0, 2] = parents[1, 2] = 0.5
    assert PairChances.of("S", "D", parents).cleared_after("sire", chance) == young


@pytest.mark.parametrize(("chance", "young"), [(0.95, 11), (0.99, 16)])
def test_mating_with_a_carrier_clears_from_even_odds(chance, young):
    # Odds of (3/4)^n: 0.0563 after 10, 0.0422 after 11; 0.0134 after 15, 0.0100 after 16.
    parents = np.zeros((3, 3))
    parents[1, 0] = parents[1, 1] = 0.5
    found = PairChances.of("S", "D", parents)
    assert found.cleared_after("dam", chance) == young
    assert found.carrier_after("dam", 2) == pytest.approx(9 / 25, abs=1e-15)


def test_a_mate_that_may_be_free_clears_nobody():
    found = pair({"S": NO, "D": NO}, 0.5)
    assert found.cleared_after("sire", 0.9) is None
    # Both carry it (4/9) or not: without end of young the other three ways remain.
    assert found.carrier_after("sire", 9_999) == pytest.approx(2 / 5, abs=1e-12)
    assert found.young_for(0.5) is None
    assert found.young_for(0.4) == 9  # 4/9 (1 - 0.75^n): 0.3999 after eight, 0.4110 after nine


def test_young_of_a_litter_are_not_independent():
    # A suspect with two in three: half of two young show it, not 1 - (2/3)^2.
    rows = [
        ("A", None, None),
        ("B", None, None),
        ("S", "A", "B"),
        ("T", "A", "B"),
        ("D", None, None),
    ]
    ped = Pedigree.from_rows(rows)
    seen = {"A": NO, "B": NO, "T": SHOWS, "S": NO, "D": SHOWS}
    found = pair_chances(ped, seen, "S", "D", frequency=0.1)
    assert found.at_least_one(2) == pytest.approx(1 / 2, abs=1e-12)


def test_kin_carry_it_together():
    # Littermates of two of which one, unknown which, carries it: both carry it with 1/4.
    ped = Pedigree.from_rows(
        [("A", None, None), ("B", None, None), ("S", "A", "B"), ("D", "A", "B")]
    )
    seen = {"A": CARRIES, "B": FREE}
    found = pair_chances(ped, seen, "S", "D", frequency=0.1)
    np.testing.assert_allclose(found.parents, [[1 / 4, 1 / 4, 0], [1 / 4, 1 / 4, 0], [0, 0, 0]])
    unsure = {"A": (0.5, 0.5, 0), "B": FREE}
    found = pair_chances(ped, unsure, "S", "D", frequency=0.1)
    apart = genotype_chances(ped, unsure, frequency=0.1)
    assert found.parents[1, 1] > apart["S"][1] * apart["D"][1] * 1.5


@pytest.mark.parametrize("seed", range(20))
def test_joint_chances_of_a_pair_by_every_genotype(seed):
    rows = random_rows(seed, animals=6, uncertain=0.2)
    seen = seen_at_random(rows, seed, 0.4)
    one, other = rows[seed % 6][0], rows[(seed + 1 + seed % 5) % 6][0]
    if one == other:
        other = rows[(seed + 1) % 6][0]
    wanted = brute.chances(rows, seen, 0.3, pair=(one, other))
    if wanted is None:
        return
    ped = Pedigree.from_rows(rows)
    found = pair_chances(ped, seen, one, other, frequency=0.3)
    np.testing.assert_allclose(found.parents, wanted, rtol=1e-9, atol=1e-13)
    many = young_chances(ped, seen, [one], [other, one], frequency=0.3)
    np.testing.assert_allclose(many[0, 0], found.young, rtol=1e-9, atol=1e-13)


def test_a_planned_young_is_one_of_the_pair():
    rows = random_rows(5, animals=40, unknown=0.1, uncertain=0.1)
    seen = {row[0]: NO for row in rows[::3]}
    ped = Pedigree.from_rows(rows)
    sires, dams = ped.ids[:4], ped.ids[20:23]
    found = young_chances(ped, seen, sires, dams, frequency=0.3)
    for i, sire in enumerate(sires):
        for j, dam in enumerate(dams):
            grown = genotype_chances(ped.with_rows([("Y", sire, dam)]), seen, frequency=0.3)
            np.testing.assert_allclose(found[i, j], grown["Y"], **EXACT)


def test_of_a_sex_linked_gene_half_the_sons_of_a_carrier_show_it():
    linked = SexLinked.of(["D"], ["S"])
    seen = {"S": FREE, "D": CARRIES}
    assert pair(seen, sex_linked=linked).shows == 0.25
    assert pair(seen, sex_linked=linked, young="males").shows == 0.5
    daughters = pair(seen, sex_linked=linked, young="females")
    assert (daughters.shows, daughters.carries) == (0, 0.5)
    many = young_chances(PAIR, seen, ["S"], ["D"], frequency=0.3, sex_linked=linked)
    np.testing.assert_allclose(many[0, 0], [0.5, 0.5, 0], **EXACT)


def test_a_sex_linked_gene_asks_for_both_sexes():
    nobody = SexLinked.of([], [])
    with pytest.raises(LineageError, match="one of S and D has one copy"):
        pair({}, sex_linked=nobody)
    with pytest.raises(LineageError, match="one of S and D has one copy"):
        young_chances(PAIR, {}, ["S"], ["D"], frequency=0.3, sex_linked=nobody)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (lambda: pair_chances(PAIR, {}, "S", "S", frequency=0.3), "a pair is two animals"),
        (lambda: pair({}, showing=(0, 2, 1)), "three chances from 0 to 1"),
        (lambda: pair({}, young="twins"), "not 'twins'"),
        (lambda: pair({}).at_least_one(-1), "0 or more, not -1"),
        (lambda: pair({}).young_for(1.5), "from 0 to 1, not 1.5"),
    ],
)
def test_what_cannot_be_asked_is_refused(asked, said):
    with pytest.raises(LineageError, match=said):
        asked()
