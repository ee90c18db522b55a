"""Diversity of the living: published values, and what a litter changes reckoned anew."""

import math
from fractions import Fraction

import numpy as np
import pytest

from benchmarks.bench import generated_rows
from pedigree import (
    DuplicateAnimal,
    LineageError,
    LivingKinship,
    Pedigree,
    UnknownAnimal,
    after_litter_among,
    ancestor_contributions,
    ancestral_inbreeding,
    effective_ancestors,
    effective_size,
    expected_survival,
    founder_equivalents,
    founder_genomes,
    founder_shares,
    founders_left,
    gene_diversity,
    kinship_sums,
    mean_kinship,
    partial_inbreeding,
    retention,
)
from pedigree.figures.effective_size import by_individual_increase
from pedigree.figures.retention import retained_by_dropping
from tests.pedigree import published
from tests.pedigree.families import random_rows

# Own construction, verified two ways; see the file.
SMALL = published.values("own_small_population")
LIVING = SMALL["reference"]


@pytest.fixture
def small():
    return published.pedigree("own_small_population")


def number(text):
    return float(Fraction(text))


def test_mean_kinship_and_gene_diversity_of_the_worked_population(small):
    wanted = [number(SMALL["mean_kinship_each"][animal]) for animal in LIVING]
    assert mean_kinship(small, LIVING).tolist() == wanted
    assert gene_diversity(small, LIVING) == number(SMALL["gene_diversity"])


def test_founders_of_the_worked_population(small):
    wanted = {one: number(share) for one, share in SMALL["founder_contributions"].items()}
    assert founder_shares(small, LIVING) == wanted
    assert founder_equivalents(small, LIVING) == pytest.approx(number(SMALL["f_e"]), rel=1e-14)


def test_founder_genomes_differ_by_definition(small):
    by_kinship = founder_genomes(small, LIVING)
    by_retention = founder_genomes(small, LIVING, "retention")
    assert by_kinship == pytest.approx(number(SMALL["fge_from_MK"]), rel=1e-14)
    assert by_retention == pytest.approx(number(SMALL["fge_lacy1989"]), rel=1e-14)
    with pytest.raises(LineageError, match="'kinship' or 'retention', not 'both'"):
        founder_genomes(small, LIVING, "both")


def test_retention_is_exact_in_a_small_family(small):
    wanted = {one: Fraction(part) for one, part in SMALL["retention"].items()}
    assert retention(small, LIVING) == wanted


def test_retention_and_genomes_by_it_are_the_same_in_one_go(small):
    left = founders_left(small, LIVING)
    assert left.parts == {one: Fraction(part) for one, part in SMALL["retention"].items()}
    assert left.genomes == pytest.approx(number(SMALL["fge_lacy1989"]), rel=1e-14)


def test_dropped_genes_agree_with_exact_retention(small):
    levels = small._layout.levels().completed()
    living = levels.place[small._layout.node_of_row[[small.row(one) for one in LIVING]]]
    drops = 20_000
    found = retained_by_dropping(levels, living, np.random.default_rng(4), drops)
    for place, part in enumerate(found):
        name = small._layout.label[levels.node[place]]
        wanted = number(SMALL["retention"][name])
        error = math.sqrt(wanted * (1 - wanted) / drops)
        assert abs(part - wanted) < 4 * error


def test_too_large_a_family_asks_for_a_generator_and_then_estimates():
    rows = generated_rows(400, generations=5, seed=3)
    ped = Pedigree.from_rows(rows)
    living = range(360, 400)
    with pytest.raises(LineageError, match="give a random generator"):
        founder_genomes(ped, living, "retention")
    estimate = founder_genomes(
        ped, living, "retention", generator=np.random.default_rng(1), drops=500
    )
    assert 1 < estimate < 40


def test_effective_ancestors_of_the_worked_population(small):
    found = ancestor_contributions(small, LIVING)
    assert sorted(found) == sorted((one, number(part)) for one, part in SMALL["ancestors"])
    assert effective_ancestors(small, LIVING) == pytest.approx(number(SMALL["f_a"]), rel=1e-14)


@pytest.mark.parametrize("seed", range(20))
def test_contributions_of_founders_and_of_ancestors_sum_to_one(seed):
    ped = Pedigree.from_rows(random_rows(seed, animals=30, uncertain=0.2))
    living = ["a25", "a27", "a29"]
    assert sum(founder_shares(ped, living).values()) == pytest.approx(1)
    assert sum(part for _, part in ancestor_contributions(ped, living)) == pytest.approx(1)


@pytest.mark.parametrize("seed", range(20))
def test_mean_kinship_is_the_mean_of_the_matrix(seed):
    ped = Pedigree.from_rows(random_rows(seed, animals=40, uncertain=0.2))
    living = [f"a{n}" for n in range(25, 40)]
    wanted = ped.kinship_matrix(living).mean(axis=1)
    np.testing.assert_allclose(mean_kinship(ped, living), wanted, rtol=0, atol=1e-12)


@pytest.mark.parametrize("seed", range(10))
@pytest.mark.parametrize("young", [1, 2, 7])
def test_what_a_litter_changes_is_what_reckoning_anew_gives(seed, young):
    ped = Pedigree.from_rows(random_rows(seed, animals=30))
    names = [f"a{n}" for n in range(18, 30)]
    living = LivingKinship.of(ped, names)
    pups = [f"p{n}" for n in range(young)]
    grown = ped.with_rows([(pup, "a20", "a29") for pup in pups])
    said = living.after_litter("a20", "a29", young)
    assert said.inbreeding == pytest.approx(grown.inbreeding()[-1], abs=1e-12)
    assert said.gene_diversity == pytest.approx(gene_diversity(grown, names + pups), abs=1e-12)
    added = living.with_litter(pups, "a20", "a29")
    wanted = grown.kinship_matrix(names + pups)
    np.testing.assert_allclose(added.matrix, wanted, rtol=0, atol=1e-12)
    np.testing.assert_allclose(added.mean_kinship, wanted.mean(axis=1), rtol=0, atol=1e-12)
    every = living.after_litters(names, names, young)
    assert every.gene_diversity[2, 11] == pytest.approx(said.gene_diversity, abs=1e-14)
    assert every.inbreeding[2, 11] == said.inbreeding


def test_two_litters_thought_of_from_one_state_do_not_disturb_each_other():
    ped = Pedigree.from_rows([("A", None, None), ("B", None, None)])
    living = LivingKinship.of(ped, ["A", "B"]).with_litter(["C"], "A", "B")
    one = living.with_litter(["D"], "A", "C")
    other = living.with_litter(["E"], "A", "B")
    assert (one.kinship("D", "C"), other.kinship("E", "C")) == (0.375, 0.25)
    with pytest.raises(DuplicateAnimal):
        living.with_litter(["C"], "A", "B")
    with pytest.raises(UnknownAnimal):
        living.after_litter("A", "Z")


def test_effective_size_gives_the_textbook_values():
    # Christensen, web textbook; a university problem set; FAO 2012 draft guidelines, table 8.
    assert effective_size(males=10, females=10) == 20
    assert effective_size(males=1, females=10) == pytest.approx(3.636, abs=5e-4)
    assert effective_size(males=2, females=200) == pytest.approx(7.92, abs=5e-3)
    assert 1 / (2 * effective_size(males=3, females=9)) == pytest.approx(0.056, abs=5e-4)


def test_effective_size_under_continued_full_sib_mating_comes_near_its_limit():
    # 1 - dF is half the golden ratio at the limit, so N_e = 2.618 (Wright 1921, Genetics 6).
    ped = published.pedigree("full_sib_mating")
    assert by_individual_increase(ped, ["8m"]) == pytest.approx(2.535, abs=5e-4)
    assert effective_size(before=423 / 512, after=55 / 64) == pytest.approx(2.618, abs=2e-3)


def test_effective_size_needs_one_way_of_reckoning():
    with pytest.raises(LineageError, match="given were females"):
        effective_size(females=3)
    assert effective_size(before=0.1, after=0.1) == math.inf


@pytest.mark.parametrize("seed", range(20))
def test_partial_inbreeding_sums_to_inbreeding(seed):
    ped = Pedigree.from_rows(random_rows(seed, animals=20, uncertain=0.2))
    for animal, f in zip(ped.ids, ped.inbreeding(), strict=True):
        assert sum(partial_inbreeding(ped, animal).values()) == pytest.approx(f, abs=1e-12)


def test_ballous_formula_counts_inbred_ancestors():
    # By hand: the parents are full sibs of F 1/4 (F 3/8 their young), f_a = 1/4 + 3/4 x 0.
    ped = published.pedigree("full_sib_mating")
    found = dict(zip(ped.ids, ancestral_inbreeding(ped).tolist(), strict=True))
    assert (found["2m"], found["3m"], found["4m"]) == (0, 0.25, 0.25 + 0.75 * 0.375)


def test_survival_follows_the_published_example():
    # Ralls, Ballou & Templeton 1988 report a cost of 0.33 at F = 1/4.
    assert 1 - expected_survival(0.25, 3.14) == pytest.approx(0.33, abs=6e-3)
    with pytest.raises(LineageError, match="from 0 to 1"):
        expected_survival(1.5, 3.14)


def test_the_living_are_somebody_and_each_once():
    ped = Pedigree.from_rows([("A", None, None)])
    for ask in (gene_diversity, founder_equivalents, founder_genomes, effective_ancestors):
        with pytest.raises(LineageError, match="nobody"):
            ask(ped, [])
    with pytest.raises(DuplicateAnimal, match="A is given twice"):
        mean_kinship(ped, ["A", "A"])


@pytest.mark.parametrize("seed", range(6))
def test_without_a_table_of_all_with_all_the_figures_are_the_same(seed):
    """Sums of kinship, and what a litter changes, against the whole matrix, also for overlapping
    groups and one without anybody."""
    ped = Pedigree.from_rows(random_rows(seed, animals=60))
    ids = list(ped.ids)
    living, some = ids[20:], ids[5:40]
    matrix = ped.kinship_matrix(ids)
    at = {animal: place for place, animal in enumerate(ids)}
    found = kinship_sums(ped, living, [some, living, []])
    for column, group in enumerate((some, living, [])):
        wanted = matrix[20:, [at[one] for one in group]].sum(axis=1)
        assert found[:, column] == pytest.approx(wanted, abs=1e-12)
    means = dict(zip(living, mean_kinship(ped, living).tolist(), strict=True))
    table = LivingKinship.of(ped, living)
    for sire, dam in ((living[0], living[7]), (living[-1], living[3])):
        mine, wanted = (
            after_litter_among(ped, means, sire, dam, 4),
            table.after_litter(sire, dam, 4),
        )
        assert mine.inbreeding == wanted.inbreeding
        assert mine.gene_diversity == pytest.approx(wanted.gene_diversity, abs=1e-12)
