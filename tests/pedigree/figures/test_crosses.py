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


def test_a_pure_animal_has_its_one_label_and_a_cross_the_two_in_order():
    found = crosses(published.pedigree("own_hybrids"), BASE)
    assert found["P"] == ("pure", 0, ("P",), None)
    assert found["F1"][:3] == ("F", 1, ("P", "Q"))
    assert found["BC1"] == ("BC", 1, ("P", "Q"), "P")


def test_it_does_not_matter_which_parent_of_a_backcross_is_the_pure_one():
    rows = [("P", None, None), ("Q", None, None), ("F", "Q", "P")]
    rows += [("B", "P", "F"), ("C", "F", "P"), ("BB", "P", "B"), ("CC", "C", "P")]
    base = {"P": {"p": 1}, "Q": {"q": 1}}
    found = crosses(Pedigree.from_rows(rows), base)
    assert found["B"] == found["C"] == ("BC", 1, ("p", "q"), "p")
    assert found["BB"] == found["CC"] == ("BC", 2, ("p", "q"), "p")


def test_what_is_neither_a_further_cross_nor_a_further_backcross_has_no_label():
    rows = [("P", None, None), ("Q", None, None), ("R", None, None), ("F", "P", "Q")]
    rows += [("F2", "F", "F"), ("B", "F", "P"), ("G", "P", "R"), ("Three", "F", "R")]
    rows += [
        ("F1xF2", "F", "F2"),
        ("F2xP", "F2", "P"),
        ("BxQ", "B", "Q"),  # back to the other of the two
        ("BxB", "B", "B"),
        ("FxG", "F", "G"),  # two F1 of unlike labels
        ("ThreexP", "Three", "P"),
        ("PxThree", "P", "Three"),
        ("ThreexThree", "Three", "Three"),
    ]
    base = {"P": {"p": 1}, "Q": {"q": 1}, "R": {"r": 1}}
    found = crosses(Pedigree.from_rows(rows), base)
    assert str(found["F2"]) == "F2"
    assert {one: found[one] for one, *_ in rows[7:]} == dict.fromkeys([one for one, *_ in rows[7:]])


def test_a_sire_that_is_perhaps_somebody_unnamed_leaves_the_cross_undetermined():
    rows = [("P", None, None), ("Q", None, None), ("X", {"P": Fraction(1, 2)}, "Q")]
    assert crosses(Pedigree.from_rows(rows), {"P": {"p": 1}, "Q": {"q": 1}})["X"] is None


def test_loci_of_young_by_one_of_two_species_are_the_mean_of_both():
    # By P every locus of X has both genes, by Q none; Y is X by a pure Q: half of that.
    rows = [
        ("P", None, None),
        ("Q", None, None),
        ("X", {"P": Fraction(1, 4), "Q": Fraction(3, 4)}, "Q"),
    ]
    ped = Pedigree.from_rows([*rows, ("Y", "Q", "X")])
    found = heterogeneity(ped, {"P": {"p": 1}, "Q": {"q": 1}}, "p")
    assert (found["X"], found["Y"]) == (0.25, 0.125)


def test_loci_of_young_of_a_founder_that_is_itself_mixed():
    # By hand, M being p to 1/4: its own two genes differ with chance 2 x 1/4 x 3/4. B1 and B2 are
    # by M and a pure Q; genes drawn from both are both of M with chance 1/4, then the same gene
    # with chance 1/2, so both p with chance (1/4 + 1/16) / 8; each is p with chance 1/8.
    rows = [("M", None, None), ("Q", None, None), ("B1", "M", "Q"), ("B2", "M", "Q")]
    ped = Pedigree.from_rows([*rows, ("X", "B1", "B2")])
    base = {"M": {"p": Fraction(1, 4), "q": Fraction(3, 4)}, "Q": {"q": 1}}
    found = heterogeneity(ped, base, "p")
    assert (found["M"], found["B1"], found["X"]) == (3 / 8, 1 / 4, 2 / 8 - 2 * (1 / 4 + 1 / 16) / 8)
    assert (found["Q"], heterogeneity(ped, base, "q")["X"]) == (0, found["X"])


def test_chromosomes_of_unlike_lengths_weigh_by_their_length():
    """Squares of lengths weigh: a gamete varies by (2 l - 1 + exp(-2 l)) / 8 on l Morgans.

    Franklin 1977, Theor. Popul. Biol. 11:60-80; here with the integral of exp(-2 d), which is the
    covariance of two places at distance d (Haldane), over all pairs of places.
    """
    lengths, steps = [0.5, 2.0], 2000
    variance = 0.0
    for length in lengths:
        at = (np.arange(steps) + 0.5) * length / steps
        apart = np.abs(at[:, None] - at[None])
        variance += (np.exp(-2 * apart) / 4).mean() * (length / sum(lengths)) ** 2
    assert realised_spread("backcross", lengths) == pytest.approx(math.sqrt(variance / 4), rel=1e-5)
    assert realised_spread("F2", lengths) == pytest.approx(math.sqrt(variance / 2), rel=1e-5)


@pytest.mark.parametrize("lengths", [[1.0, 0.0], [1.0, -1.0]])
def test_a_chromosome_without_length_and_an_unknown_cross_are_refused(lengths):
    with pytest.raises(LineageError, match="above 0 Morgan"):
        realised_spread("F2", lengths)
    with pytest.raises(LineageError, match="'F1', 'F2' or 'backcross', not 'BC1'"):
        realised_spread("BC1", [1.0])
