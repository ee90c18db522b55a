"""Sampled chances beside the exact ones, and their errors."""

import numpy as np
import pytest

from benchmarks.bench import closed_line
from pedigree import (
    Contradiction,
    LineageError,
    PairChances,
    Pedigree,
    SexLinked,
    genotype_chances,
    pair_chances,
    sampled_chances,
)
from tests.pedigree.families import random_rows
from tests.pedigree.traits.truth import genotypes

NO, SHOWS = (1, 1, 0), (0, 0, 1)


def looked(rows, seed, frequency=0.3, part=0.6):
    rng = np.random.default_rng(seed)
    copies = genotypes(rows, frequency, rng)
    return {one: SHOWS if c == 2 else NO for one, c in copies.items() if rng.random() < part}


@pytest.mark.parametrize("seed", [1, 2])
def test_samples_agree_with_exact_chances_within_their_errors(seed):
    rows = closed_line(7, 4, 8, seed=seed)
    ped, seen = Pedigree.from_rows(rows), looked(rows, seed)
    exact = genotype_chances(ped, seen, frequency=0.3)
    rng = np.random.default_rng(seed)
    found = sampled_chances(ped, seen, frequency=0.3, rng=rng)
    off = np.array([(found.chances[one] - exact[one]) / found.errors[one] for one in ped.ids])
    assert np.sqrt((off**2).mean()) < 1.6  # 1 if the errors were all there is and known
    assert abs(off).max() < 5.5
    assert max(found.errors[one].max() for one in ped.ids) < 0.05


def test_blocks_of_a_tangled_pedigree_leave_nobody_held(monkeypatch):
    """With next to nothing in a table at once the answer is the same."""
    monkeypatch.setattr("pedigree.traits.blocks.MOST_IN_A_TABLE", 9)
    rows = random_rows(4, animals=20, unknown=0.1, uncertain=0.2)
    ped = Pedigree.from_rows(rows)
    seen = {row[0]: (0.2, 0.7, 0.4) for row in rows[::3]}
    exact = genotype_chances(ped, seen, frequency=0.3)
    rng = np.random.default_rng(2)
    found = sampled_chances(ped, seen, frequency=0.3, rng=rng, sweeps=90)
    for one in ped.ids:
        np.testing.assert_allclose(found.chances[one], exact[one], rtol=0, atol=0.06)


def test_a_pair_is_sampled_together():
    rows = [("A", None, None), ("B", None, None), ("S", "A", "B"), ("D", "A", "B")]
    ped, seen = Pedigree.from_rows(rows), {"A": (0.5, 0.5, 0), "B": (1, 0, 0)}
    found = sampled_chances(ped, seen, frequency=0.3, rng=np.random.default_rng(1))
    exact = pair_chances(ped, seen, "S", "D", frequency=0.3)
    both = found.together("S", "D")
    np.testing.assert_allclose(both, exact.parents, rtol=0, atol=0.05)
    assert PairChances.of("S", "D", both).shows == pytest.approx(exact.shows, abs=0.02)


def test_a_sex_linked_gene_is_sampled_too():
    rows = [("A", None, None), ("B", None, None), ("S", "A", "B"), ("D", "A", "B"), ("Y", "S", "D")]
    ped, linked = Pedigree.from_rows(rows), SexLinked.of(["B", "D"], ["A", "S"])
    seen = {"S": (0, 1, 0), "A": (1, 0, 0)}
    exact = genotype_chances(ped, seen, frequency=0.3, sex_linked=linked)
    found = sampled_chances(
        ped, seen, frequency=0.3, rng=np.random.default_rng(1), sex_linked=linked
    )
    for one in ped.ids:
        np.testing.assert_allclose(found.chances[one], exact[one], rtol=0, atol=0.06)


def test_nothing_seen_is_sampled_from_the_founders():
    ped = Pedigree.from_rows([("A", None, None), ("Y", "A", None)])
    found = sampled_chances(ped, {}, frequency=0.5, rng=np.random.default_rng(1))
    np.testing.assert_allclose(found.chances["A"], [0.25, 0.5, 0.25])
    np.testing.assert_allclose(found.chances["Y"], [0.25, 0.5, 0.25], atol=0.03)
    assert (found.errors["A"] == 0.5 / found.draws).all()


def test_the_same_chance_gives_the_same_answer():
    rows = random_rows(2, animals=20)
    ped, seen = Pedigree.from_rows(rows), {row[0]: NO for row in rows[::2]}
    one, other = (
        sampled_chances(ped, seen, frequency=0.3, rng=np.random.default_rng(3)) for _ in range(2)
    )
    assert all((one.chances[animal] == other.chances[animal]).all() for animal in ped.ids)


def test_what_cannot_be_sampled_is_refused():
    ped = Pedigree.from_rows([("S", None, None), ("D", None, None), ("P", "S", "D")])
    rng = np.random.default_rng(1)
    with pytest.raises(Contradiction, match="S, D, P"):
        sampled_chances(ped, {"S": SHOWS, "D": SHOWS, "P": NO}, frequency=0.3, rng=rng)
    with pytest.raises(LineageError, match="2 chains and 3 sweeps"):
        sampled_chances(ped, {}, frequency=0.3, rng=rng, chains=1)
