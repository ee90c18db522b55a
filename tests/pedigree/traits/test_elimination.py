"""The tree of tables: orders, several questions at once, draws, and what size costs."""

import numpy as np
import pytest

from pedigree import Pedigree, genotype_chances
from pedigree.traits.elimination import GenotypeTree
from pedigree.traits.locus import locus_of
from pedigree.traits.order import elimination_order
from pedigree.traits.reckoned import Reckoned

NO = (1, 1, 0)


def test_a_chain_is_never_wider_than_two():
    sizes = dict.fromkeys(range(50), 3)
    order = elimination_order(sizes, [(n, n + 1) for n in range(49)])
    assert (order.widest(), order.entries) == (2, 49 * 9 + 3)


def test_a_ring_is_three_wide():
    sizes = dict.fromkeys(range(20), 3)
    assert elimination_order(sizes, [(n, (n + 1) % 20) for n in range(20)]).widest() == 3


def test_a_grid_is_as_wide_as_its_side():
    # The tree-width of a grid is its side; the groups have one more.
    sizes = dict.fromkeys(range(36), 3)
    across = [(n, n + 1) for n in range(36) if n % 6 < 5]
    order = elimination_order(sizes, across + [(n, n + 6) for n in range(30)])
    assert 7 <= order.widest() <= 8


def test_a_tree_of_tables_sums_what_einsum_does():
    rng = np.random.default_rng(1)
    one, two, three = rng.random((2, 3)), rng.random((3, 2)), rng.random((2, 2))
    tree = GenotypeTree(
        {7: 2, 8: 3, 9: 2},
        [((7, 8), one[..., None]), ((8, 9), two[..., None]), ((9, 7), three[..., None])],
    )
    whole = np.einsum("ab,bc,ca->abc", one, two, three)
    weights = {8: np.eye(3)}
    found = tree.up(weights)
    np.testing.assert_allclose(np.exp(found.logarithm), whole.sum(axis=(0, 2)))
    found.down()
    for question in range(3):
        part = whole[:, question] / whole[:, question].sum()
        np.testing.assert_allclose(found.chances([9, 7])[question], part.T)


def test_draws_are_as_frequent_as_their_chances():
    rng = np.random.default_rng(2)
    table = np.array([[0.1, 0.0, 0.2], [0.3, 0.4, 0.0]])
    tree = GenotypeTree({1: 2, 2: 3}, [((1, 2), table[..., None])])
    drawn = tree.up().drawn(20_000, rng)
    counted = np.zeros((2, 3))
    np.add.at(counted, (drawn[1], drawn[2]), 1 / 20_000)
    np.testing.assert_allclose(counted, table, rtol=0, atol=0.015)
    assert counted[0, 1] == counted[1, 2] == 0


@pytest.mark.parametrize("young", [1, 40])
def test_a_litter_costs_no_table(young):
    rows = [("S", None, None), ("D", None, None), *((n, "S", "D") for n in range(young))]
    locus = locus_of(Pedigree.from_rows(rows), dict.fromkeys(range(young), NO), 0.3)
    assert Reckoned(locus).tree.entries == 9 + 3


def test_who_says_nothing_of_what_was_seen_costs_no_table():
    line = [(n, n - 1 if n else None, None) for n in range(300)]
    locus = locus_of(Pedigree.from_rows(line), {1: NO}, 0.3)
    assert np.flatnonzero(Reckoned(locus).core).tolist() == [0, 1]


def test_very_many_young_do_not_run_out_of_numbers():
    # 3,000 young of two carriers as they fall: likelihoods of 4^-3000, said as a logarithm.
    rows = [("S", None, None), ("D", None, None), *((n, "S", "D") for n in range(3_000))]
    seen = {n: NO if n % 4 else (0, 0, 1) for n in range(3_000)}
    ped = Pedigree.from_rows(rows)
    sire = genotype_chances(ped, seen, frequency=0.01)["S"]
    np.testing.assert_allclose(sire, [0, 1, 0], rtol=0, atol=1e-100)
    found = Reckoned(locus_of(ped, seen, 0.01)).logarithm
    by_hand = 2 * np.log(2 * 0.01 * 0.99) + 2250 * np.log(3 / 4) + 750 * np.log(1 / 4)
    assert found == pytest.approx(by_hand, rel=1e-12)
