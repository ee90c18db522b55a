"""Effective size by its three ways, each with answers worked by hand or from textbooks."""

import math
from fractions import Fraction

import pytest

from pedigree import LineageError, Pedigree, effective_size
from pedigree.figures.effective_size import (
    by_individual_increase,
    by_rate_of_inbreeding,
    by_sex_counts,
    expected_sires,
)
from tests.pedigree import published


@pytest.mark.parametrize(
    ("males", "females", "wanted"), [(1, 1, 2), (1, 3, 3), (5, 20, 16), (0.5, 0.5, 1)]
)
def test_breeders_of_both_sexes_count_four_times_their_product_over_their_sum(
    males, females, wanted
):
    """Wright 1931, Genetics 16:97-159."""
    assert by_sex_counts(males, females) == wanted


@pytest.mark.parametrize(("males", "females"), [(0, 3), (3, 0), (-1, 3), (3, -1)])
def test_without_breeders_of_one_sex_there_is_no_size(males, females):
    with pytest.raises(LineageError, match=f"both sexes are needed, not {males} and {females}"):
        by_sex_counts(males, females)


def test_possible_sires_of_one_litter_are_one_sire_between_them():
    """By hand: of two litters each believed half a's, a sired one with 3/4, b and c with 1/2."""
    half = Fraction(1, 2)
    rows = [(name, None, None) for name in "abcde"]
    rows += [(pup, {"a": half, "b": half}, "d", "spring") for pup in ("x", "y")]
    ped = Pedigree.from_rows([*rows, ("z", {"a": half, "c": half}, "e", "spring")])
    assert expected_sires(ped, ["x", "y"]) == 1
    assert expected_sires(ped, ["x", "y", "z"]) == Fraction(3, 4) + half + half
    assert expected_sires(ped, "abcde") == 0


def test_certain_sires_are_counted_as_they_are():
    rows = [(name, None, None) for name in "abd"]
    ped = Pedigree.from_rows([*rows, ("x", "a", "d"), ("y", "a", "d"), ("z", "b", "d")])
    assert expected_sires(ped, "xyz") == 2


def test_the_rate_of_inbreeding_is_what_is_lost_of_what_was_left():
    # By hand: 3/4 left of all, in one generation 1/4 is lost; twice that leaves 9/16.
    assert by_rate_of_inbreeding(0, 0.25) == 2
    assert by_rate_of_inbreeding(0, 7 / 16, 2) == 2
    assert by_rate_of_inbreeding(0.5, 0.625) == 2
    assert by_rate_of_inbreeding(0.25, 1) == 0.5  # all is lost at once: selfing without end
    assert effective_size(before=0, after=7 / 16, generations=2) == 2


def test_f_that_did_not_rise_is_an_endless_size():
    assert by_rate_of_inbreeding(0, 0) == math.inf
    assert by_rate_of_inbreeding(0.25, 0.25) == math.inf
    assert by_rate_of_inbreeding(0.25, 0.125) == math.inf


@pytest.mark.parametrize(
    ("before", "after", "generations"),
    [(1, 1, 1), (-0.1, 0.5, 1), (0, 1.1, 1), (0.1, -0.1, 1), (0, 0.5, 0), (0, 0.5, -1)],
)
def test_an_f_or_a_time_that_cannot_be_is_refused(before, after, generations):
    with pytest.raises(LineageError, match=f"before {before}, after {after}, gen.* {generations}"):
        by_rate_of_inbreeding(before, after, generations)


def test_every_animal_has_an_increase_of_its_own_by_its_known_generations():
    """dF = 1 - (1 - F)^(1 / (t - 1)): Gutierrez, Cervantes & Goyache 2009, JABG 126:327-332.

    By hand, in full-sib mating: 2m has F 1/4 and t 2, 3m has F 3/8 and t 3.
    """
    ped = published.pedigree("full_sib_mating")
    second, third = 1 / 4, 1 - math.sqrt(5 / 8)
    assert by_individual_increase(ped, ["2m"]) == 2
    assert by_individual_increase(ped, ["3m"]) == pytest.approx(1 / (2 * third))
    both = pytest.approx(1 / (second + third))
    assert by_individual_increase(ped, ["2m", "3m"]) == both
    # Founders and young of founders cannot be inbred; they say nothing either way.
    assert by_individual_increase(ped, ["0m", "1f", "2m", "3m"]) == both
    assert effective_size(ped=ped, living=["2m", "3m"]) == both


def test_nobody_with_more_than_one_known_generation_is_said():
    ped = published.pedigree("full_sib_mating")
    with pytest.raises(LineageError, match="more than one equivalent generation"):
        by_individual_increase(ped, ["0m", "1f"])


def test_nobody_inbred_is_an_endless_size():
    rows = [(one, None, None) for one in "ABCD"] + [("S", "A", "B"), ("D2", "C", "D")]
    ped = Pedigree.from_rows([*rows, ("X", "S", "D2")])
    assert by_individual_increase(ped, ["X"]) == math.inf


@pytest.mark.parametrize(
    ("given", "named"),
    [
        ({}, "none of them"),
        ({"males": 3}, "males"),
        ({"males": 3, "before": 0.1}, "before, males"),
        ({"after": 0.1}, "after"),
        ({"living": ["A"]}, "living"),
        ({"males": 3, "females": 3, "after": 0.1}, "after, females, males"),
        ({"before": 0.0, "after": 0.1, "males": 3}, "after, before, males"),
    ],
)
def test_any_other_mixture_is_refused_and_named(given, named):
    with pytest.raises(LineageError, match=f"given were {named}[.]"):
        effective_size(**given)


def test_a_pedigree_and_its_living_are_asked_for_together():
    ped = Pedigree.from_rows([("A", None, None)])
    with pytest.raises(LineageError, match=r"given were ped\."):
        effective_size(ped=ped)
    with pytest.raises(LineageError, match=r"given were living, males, ped\."):
        effective_size(ped=ped, living=["A"], males=2)
