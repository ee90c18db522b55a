"""Inbreeding by founder and by ancestors, and its cost; worked by hand."""

import itertools
import math
import random
from fractions import Fraction

import numpy as np
import pytest

from pedigree import (
    LineageError,
    Pedigree,
    UnknownAnimal,
    ancestral_inbreeding,
    expected_survival,
    partial_inbreeding,
)
from tests.tries import tries


def of(found, ped):
    return dict(zip(ped.ids, found.tolist(), strict=True))


def test_half_sibs_young_are_inbred_by_the_one_founder_they_share():
    rows = [("A", None, None), ("B", None, None), ("C", None, None), ("S", "A", "B")]
    ped = Pedigree.from_rows([*rows, ("D", "A", "C"), ("X", "S", "D")])
    assert partial_inbreeding(ped, "X") == {"A": 1 / 8}
    assert partial_inbreeding(ped, "S") == {}
    with pytest.raises(UnknownAnimal):
        partial_inbreeding(ped, "Z")


def test_what_stems_from_an_unknown_parent_stands_last_under_nobody():
    # By hand: S is half of A, half of somebody; its selfed young has 1/2, half of it by each.
    ped = Pedigree.from_rows([("A", None, None), ("S", None, "A"), ("X", "S", "S")])
    found = partial_inbreeding(ped, "X")
    assert list(found.items()) == [("A", 1 / 4), (None, 1 / 4)]


def test_two_unknown_parents_stand_together():
    # S has two parents without a name; X by S and S has 1/4 by either, T's comes from A alone.
    rows = [("A", None, None), ("S", "A", None), ("T", "A", None), ("P", "S", "T")]
    ped = Pedigree.from_rows([*rows, ("X", "P", "S"), ("Y", "P", "P")])
    # Genes of X: one of S, one of P; alike by A: by hand 1/4 x (kinship by A of S with S and T)
    # = 1/2 x (1/4 + 1/8); by S's unknown parent 1/2 x 1/4.
    assert partial_inbreeding(ped, "X") == {"A": 3 / 16, None: 1 / 8}


def alike_by_founder(rows, animal):
    """How likely both its genes are one and the same gene of a founder: every way they can go.

    Rows stand parents before young; a sire may be a mapping of chances that sum to 1.
    """
    found = {}
    sires = [list(sire.items()) if isinstance(sire, dict) else [(sire, 1)] for _, sire, _ in rows]
    for chosen in itertools.product(*sires):
        chance = math.prod((Fraction(share) for _, share in chosen), start=Fraction(1))
        pairs = [(sire, dam) for (sire, _), (_, _, dam) in zip(chosen, rows, strict=True)]
        drawn = sum(parent is not None for pair in pairs for parent in pair)
        for coins in itertools.product((0, 1), repeat=drawn):
            carried, coin = {}, iter(coins)
            for (name, *_), pair in zip(rows, pairs, strict=True):
                of_nobody = [(name if pair == (None, None) else None, name, n) for n in (0, 1)]
                carried[name] = [
                    of_nobody[n] if parent is None else carried[parent][next(coin)]
                    for n, parent in enumerate(pair)
                ]
            one, other = carried[animal]
            if one == other:
                found[one[0]] = found.get(one[0], Fraction(0)) + chance / 2**drawn
    return found


@pytest.mark.parametrize("seed", range(tries(12)))
def test_parts_are_what_all_ways_of_the_genes_make(seed):
    """The definition itself: Lacy, Alaks & Walsh 1996, Evolution 50:2187-2200."""
    chance = random.Random(seed)
    rows = [(name, None, None) for name in "ABC"]
    for name in "DEFGH":
        near = [row[0] for row in rows][-4:]
        sire, dam = chance.sample(near, 2)
        either = chance.sample([one for one in near if one != dam], 2)
        if chance.random() < 0.2:
            sire = dict(zip(either, (Fraction(1, 3), Fraction(2, 3)), strict=True))
        rows.append((name, None if chance.random() < 0.15 else sire, dam))
    ped = Pedigree.from_rows(rows)
    for animal in "FGH":
        found = partial_inbreeding(ped, animal)
        assert found == pytest.approx(
            {k: float(v) for k, v in alike_by_founder(rows, animal).items()}
        )


def test_an_uncertain_sire_hands_on_the_mean_of_both():
    rows = [("A", None, None), ("B", None, None), ("D", "A", None)]
    ped = Pedigree.from_rows([*rows, ("X", {"A": Fraction(1, 3), "B": Fraction(2, 3)}, "D")])
    # By A it would be 1/4; by B nothing.
    assert partial_inbreeding(ped, "X") == {"A": pytest.approx(1 / 12)}


# M and N are unrelated and inbred by selfing: F 1/2 each, of parents that are not.
INBRED = [
    ("A", None, None), ("B", None, None), ("M", "A", "A"), ("N", "B", "B"),
    ("X", "M", "N"), ("Y", "X", "A"), ("Z", "M", "X"),
]  # fmt: skip


def test_ballous_formula_hands_on_what_either_parent_went_through():
    """f_a = 1/2 of the sum of f_a + (1 - f_a) F over both: Ballou 1997, J. Hered. 88:169-178."""
    ped = Pedigree.from_rows(INBRED)
    found = of(ancestral_inbreeding(ped), ped)
    assert (found["A"], found["M"]) == (0, 0)
    assert found["X"] == (1 / 2 + 1 / 2) / 2
    # X has F 0; Y is by it and a founder. Z is inbred itself, which its own figure leaves out.
    assert found["Y"] == found["X"] / 2
    assert found["Z"] == (1 / 2 + found["X"]) / 2
    further = ped.with_rows([("W", "Z", None)])
    of_z = (1 + 1 / 2) / 4 / 2 + 1 / 4  # kinship of M with X: (3/4 + 0)/2
    f_of_z = 3 / 8
    assert of_z > f_of_z
    assert of(ancestral_inbreeding(further), further)["W"] == pytest.approx(
        (found["Z"] + (1 - found["Z"]) * f_of_z) / 2
    )


def test_ballous_formula_weighs_possible_sires():
    rows = [*INBRED, ("V", {"M": Fraction(1, 4), "A": Fraction(3, 4)}, "N")]
    ped = Pedigree.from_rows([*rows, ("U", "V", None)])
    found = of(ancestral_inbreeding(ped), ped)
    # M hands on 1/2 with chance 1/4, A nothing; N 1/2. V itself is not inbred.
    assert found["V"] == (1 / 4 * 1 / 2 + 1 / 2) / 2
    assert found["U"] == found["V"] / 2


def test_survival_falls_with_f_by_half_the_diploid_equivalents():
    """exp(-B F), B per haploid genome: Morton, Crow & Muller 1956, PNAS 42:855-863."""
    assert expected_survival(0, 3.14) == 1
    assert expected_survival(1, 2) == pytest.approx(math.exp(-1))
    assert expected_survival(0.5, 4) == pytest.approx(math.exp(-1))
    assert expected_survival(0.5, 0) == 1
    assert isinstance(expected_survival(0.5, 4), float)
    found = expected_survival(np.array([0, 0.25, 1]), 4)
    np.testing.assert_allclose(found, [1, math.exp(-0.5), math.exp(-2)])


@pytest.mark.parametrize("f", [-0.1, 1.01, [0.5, 1.5], [-0.5, 0.5]])
def test_an_f_that_cannot_be_is_refused(f):
    with pytest.raises(LineageError, match="F is from 0 to 1, not"):
        expected_survival(f, 3.14)


def test_fewer_lethal_equivalents_than_none_are_refused():
    with pytest.raises(LineageError, match=r"0 or more, not -0\.5"):
        expected_survival(0.25, -0.5)
