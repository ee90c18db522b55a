"""The door of the pedigree: what rows are refused, and in which words."""

import math
import subprocess
import sys
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest

from benchmarks.bench import SHAPES, closed_line, dense_table, generated_rows, memoised_recursion
from pedigree import (
    DuplicateAnimal,
    LineageError,
    LineageLoop,
    Pedigree,
    UnknownAnimal,
    Unrecorded,
)

FOUNDERS = [("A", None, None), ("B", None, None), ("D", None, None)]


@pytest.mark.parametrize(
    ("row", "message"),
    [
        (("X", "A"), r"A row is \(id, sire, dam\) or"),
        ((None, "A", None), "None stands for unknown"),
        ((["X"], "A", None), r"must be hashable, not \['X'\]"),
        (("X", "A", {"D": 1}), "The dam of X must be an id, None, not"),
        (("X", ["A"], None), "must be an id, None or a mapping of ids to shares"),
        (("X", {"A": 2}, None), "share of A as sire of X is 2; allowed is 0 to 1"),
        (("X", {"A": -0.5}, None), "allowed is 0 to 1"),
        (("X", {"A": math.nan}, None), "a number from 0 to 1, not nan"),
        (("X", {"A": "much"}, None), "a number from 0 to 1, not 'much'"),
        (("X", {"A": 0.7, "B": 0.4}, None), "make 11/10; they sum to at most 1"),
    ],
)
def test_a_row_that_cannot_be_read_is_refused_in_words(row, message):
    with pytest.raises(LineageError, match=message):
        Pedigree.from_rows([*FOUNDERS, row])


def test_shares_are_read_as_the_decimals_they_are_written_as():
    thirds = {"A": 0.7, "B": Decimal("0.2"), "D": "1/10"}
    ped = Pedigree.from_rows([*FOUNDERS, ("X", thirds, None)])
    assert ped.sires("X") == {"A": Fraction(7, 10), "B": Fraction(1, 5), "D": Fraction(1, 10)}


def test_a_sire_of_share_one_is_certain_and_of_share_none_is_no_sire():
    ped = Pedigree.from_rows([*FOUNDERS, ("X", {"A": 1, "B": 0}, "D"), ("Y", {}, "D")])
    assert (ped.sire("X"), ped.sire("Y"), ped.dam("Y")) == ("A", None, "D")
    assert (ped.is_founder("A"), ped.is_founder("Y")) == (True, False)


def test_a_loop_through_a_possible_sire_is_named():
    with pytest.raises(LineageLoop) as said:
        Pedigree.from_rows([*FOUNDERS, ("X", {"A": 0.5, "Y": 0.5}, "D"), ("Y", "X", None)])
    assert set(said.value.loop) == {"X", "Y"}
    assert said.value.loop[0] == said.value.loop[-1]


def test_the_animals_may_be_called_anything_hashable():
    odd = [(1, None, None), ((2, "b"), None, None), (frozenset(), 1, (2, "b"))]
    ped = Pedigree.from_rows(odd)
    assert ped.ids == (1, (2, "b"), frozenset())
    assert ped.kinship(1, frozenset()) == 0.25
    assert 1 in ped
    with pytest.raises(UnknownAnimal):
        ped.kinship(1, ["unhashable"])


def test_littermates_of_two_unknown_parents_are_full_sibs():
    ped = Pedigree.from_rows([("x", None, None, "L"), ("y", None, None, "L"), ("z", None, None)])
    assert ped.kinship_matrix(["x", "y", "z"]).tolist() == [
        [0.5, 0.25, 0],
        [0.25, 0.5, 0],
        [0, 0, 0.5],
    ]


def test_litters_of_two_dams_never_share_a_sire_by_their_number_alone():
    rows = [*FOUNDERS, ("x", None, "A", 1), ("y", None, "D", 1)]
    assert Pedigree.from_rows(rows).kinship("x", "y") == 0


def test_the_exact_mean_over_all_assignments_of_a_litters_sire():
    # Own arithmetic: three candidates, of whom A is also the dam's sire; the mean over the three.
    rows = [("A", None, None), ("B", None, None), ("C", None, None), ("D", "A", None)]
    shares = {"A": Fraction(1, 2), "B": Fraction(1, 3), "C": Fraction(1, 6)}
    litter = [(pup, shares, "D", "L") for pup in ("x", "y")]
    found = Pedigree.from_rows([*rows, *litter]).kinship_matrix(["x", "y", "B"])
    wanted = np.zeros((3, 3))
    for sire, share in shares.items():
        certain = Pedigree.from_rows([*rows, *[(pup, sire, "D") for pup in ("x", "y")]])
        wanted += float(share) * certain.kinship_matrix(["x", "y", "B"])
    np.testing.assert_allclose(found, wanted, rtol=0, atol=1e-15)


def test_added_rows_are_checked_as_the_first_ones():
    ped = Pedigree.from_rows(FOUNDERS)
    with pytest.raises(DuplicateAnimal, match="A is given twice"):
        ped.with_rows([("A", None, None)])
    with pytest.raises(UnknownAnimal, match="Z, named as a parent of X,"):
        ped.with_rows([("X", "Z", None)])
    grown = ped.with_rows([("Y", "X", None), ("X", "A", "D")])  # the young before its parent
    assert grown.kinship("Y", "A") == 0.125
    mates = ped.with_rows([("x", None, "D", "L")]).with_rows([("y", None, "D", "L")])
    assert mates.kinship("x", "y") == 0.25
    assert mates.ancestors("x") == {"D"}


def test_an_unrecorded_parent_says_whose():
    assert str(Unrecorded("dam", ("x", "y"))) == "the unknown dam of x, y"


@pytest.mark.parametrize("shape", SHAPES, ids=[shape.name for shape in SHAPES])
def test_the_benchmark_compares_like_with_like(shape):
    rows = generated_rows(400, litter=shape.litter, sires=shape.sires, generations=12, seed=3)
    found = Pedigree.from_rows(rows).inbreeding()
    assert found.max() > 0
    np.testing.assert_allclose(found, dense_table(rows), rtol=0, atol=1e-12)
    np.testing.assert_allclose(found, memoised_recursion(rows), rtol=0, atol=1e-12)


def test_a_closed_line_keeps_its_numbers():
    assert len(closed_line(5, 2, 3, seed=1)) == 25


def test_importing_brings_in_only_what_is_needed():
    heavy = ("scipy", "django", "numpy.random", "multiprocessing")
    code = f"import sys, pedigree; sys.exit(any(name in sys.modules for name in {heavy}))"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
