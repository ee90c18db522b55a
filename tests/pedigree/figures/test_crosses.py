"""Crosses of species and generations in captivity: worked examples, and what stays unknown."""

import math
from fractions import Fraction

import numpy as np
import pytest

from pedigree import (
    LineageError,
    Pedigree,
    UnknownAnimal,
    completeness_index,
    composition,
    crosses,
    generation_in_captivity,
    heterogeneity,
    realised_spread,
)
from tests.pedigree import published

VALUES = published.values("own_hybrids")
BASE = {animal: {label: 1} for animal, label in VALUES["base"].items()}


def test_the_worked_crosses_have_their_labels():
    # Genetic generations as textbooks of plant and animal breeding use them.
    found = crosses(published.pedigree("own_hybrids"), BASE)
    labels = {one: None if cross is None else str(cross) for one, cross in found.items()}
    assert {one: labels[one] for one in ("P", "F1", "F2", "BC1", "BC2", "BC3")} == {
        "P": "pure", "F1": "F1", "F2": "F2", "BC1": "BC1", "BC2": "BC2", "BC3": "BC3",
    }  # fmt: skip
    assert found["BC2"].to == "P"
    assert labels["ThreeWay"] is None
    assert labels["F2xBC1"] is None


def test_an_unknown_part_leaves_the_cross_undetermined():
    ped = Pedigree.from_rows([("P", None, None), ("Q", None, None), ("X", "P", "Q")])
    assert crosses(ped, {"P": {"motoro": 1}})["X"] is None
    assert crosses(ped, {"P": {"motoro": 1}, "Q": {"leopoldi": Fraction(1, 2)}})["X"] is None


def test_a_sire_of_two_possible_of_one_species_still_gives_an_f1():
    rows = [("P", None, None), ("R", None, None), ("Q", None, None)]
    ped = Pedigree.from_rows([*rows, ("X", {"P": 0.5, "R": 0.5}, "Q")])
    base = {"P": {"motoro": 1}, "R": {"motoro": 1}, "Q": {"leopoldi": 1}}
    assert str(crosses(ped, base)["X"]) == "F1"
    assert crosses(ped, {**base, "R": {"henlei": 1}})["X"] is None


def test_loci_with_one_gene_of_each_species_are_the_worked_share():
    found = heterogeneity(published.pedigree("own_hybrids"), BASE, "P")
    wanted = VALUES["interspecific_heterozygosity_P_vs_rest"]
    assert {one: found[one] for one in wanted} == {
        one: float(Fraction(share)) for one, share in wanted.items()
    }


def test_young_of_related_hybrids_have_fewer_such_loci():
    # By hand: BC1 sibs share their parents. Given the F1's gene drawn twice (chance 1/4 + ...):
    # a locus of a BC1 is PP or PQ, each 1/2; two sibs' Q genes are the same one gene of the F1,
    # so they are independent draws: chance that the young has one Q gene 2 x 1/4 x 3/4.
    rows = [("P", None, None), ("Q", None, None), ("P2", None, None), ("F", "P", "Q")]
    rows += [("B1", "F", "P2"), ("B2", "F", "P2"), ("X", "B1", "B2"), ("Y", "B1", "B1")]
    base = {"P": {"p": 1}, "P2": {"p": 1}, "Q": {"q": 1}}
    found = heterogeneity(Pedigree.from_rows(rows), base, "q")
    assert found["X"] == 2 * 0.25 * 0.75
    assert found["Y"] == 0.25  # selfed: half of the sire's own 1/2


def test_heterogeneity_of_the_unknown_is_unknown():
    ped = Pedigree.from_rows([("P", None, None), ("X", "P", None)])
    assert math.isnan(heterogeneity(ped, {"P": {"p": 1}}, "p")["X"])


def test_the_spread_of_a_backcross_agrees_with_dropped_crossovers():
    # Simulation with Poisson crossovers (Haldane), 30 chromosomes of 1 Morgan, 200 loci each.
    chance = np.random.default_rng(2)
    young = 4000
    shares = np.zeros(young)
    for _ in range(30):
        switched = chance.random((young, 200)) < (1 - math.exp(-2 / 200)) / 2
        switched[:, 0] = chance.random(young) < 0.5
        shares += (np.cumsum(switched, axis=1) % 2).mean(axis=1) / 30 / 2
    assert shares.mean() == pytest.approx(0.25, abs=0.003)
    assert realised_spread("backcross", [1.0] * 30) == pytest.approx(shares.std(), rel=0.04)
    assert realised_spread("F1", [1.0]) == 0
    assert realised_spread("F2", [1.0]) == pytest.approx(
        math.sqrt(2) * realised_spread("backcross", [1.0])
    )


def test_free_recombination_is_the_limit_of_a_long_map():
    assert realised_spread("backcross", [1e5]) < 0.002
    assert realised_spread("backcross", [1e-5]) == pytest.approx(0.25, rel=1e-3)
    with pytest.raises(LineageError, match="above 0 Morgan"):
        realised_spread("F2", [])


def test_shares_are_given_to_founders_only_and_to_at_most_one():
    ped = Pedigree.from_rows([("P", None, None), ("X", "P", None)])
    with pytest.raises(LineageError, match="X has a recorded parent"):
        composition(ped, {"X": {"p": 1}})
    with pytest.raises(LineageError, match="make 5/4"):
        composition(ped, {"P": {"p": Fraction(3, 4), "q": Fraction(1, 2)}})
    with pytest.raises(UnknownAnimal):
        composition(ped, {"Z": {"p": 1}})


def test_generation_in_captivity_is_not_the_genetic_one():
    rows = [("W", None, None), ("V", None, None), ("U", None, None)]
    rows += [("A", "W", "V"), ("B", "A", "V"), ("C", "A", "B"), ("D", "A", "U"), ("E", "A", "C")]
    found = generation_in_captivity(Pedigree.from_rows(rows), ["W", "V"])
    assert found == {"W": 0, "V": 0, "U": None, "A": 1, "B": 1, "C": 2, "D": None, "E": 2}


def test_generation_with_several_possible_sires_is_known_when_all_agree():
    rows = [("W", None, None), ("V", None, None), ("A", "W", "V"), ("B", "W", "V"), ("C", "A", "B")]
    alike = Pedigree.from_rows([*rows, ("X", {"A": 0.5, "B": 0.5}, "C")])
    assert generation_in_captivity(alike, ["W", "V"])["X"] == 2
    unlike = Pedigree.from_rows([*rows, ("X", {"A": 0.5, "B": 0.25}, "C")])
    assert generation_in_captivity(unlike, ["W", "V"])["X"] is None


def test_the_completeness_index_is_the_worked_one():
    values = published.values("own_completeness")
    ped = published.pedigree("own_completeness")
    for depth, wanted in values["PCI_X"].items():
        found = completeness_index(ped, "X", int(depth))
        assert found == pytest.approx(float(Fraction(wanted)), abs=1e-15)
    assert completeness_index(ped, "D", 3) == 0  # nothing is known of its dam
