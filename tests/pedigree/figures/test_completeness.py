"""How much of an ancestry is known: the worked example, uncertain sires, and litters' unknown."""

from fractions import Fraction

import pytest

from pedigree import (
    LineageError,
    Pedigree,
    completeness,
    completeness_index,
    equivalent_generations,
    known_ancestors,
)
from pedigree.figures.completeness import sides
from tests.pedigree import published

VALUES = published.values("own_completeness")


@pytest.fixture
def worked():
    return published.pedigree("own_completeness")


def test_equivalent_generations_of_the_worked_example(worked):
    found = dict(zip(worked.ids, equivalent_generations(worked).tolist(), strict=True))
    assert found == {one: float(Fraction(t)) for one, t in VALUES["equivalent_generations"].items()}


def test_known_ancestors_of_the_worked_example_in_each_generation(worked):
    found = known_ancestors(worked, "X", 4)
    assert [one.known for one in found] == [2, 3, 3, 0]
    assert [one.possible for one in found] == [2, 4, 8, 16]
    assert [one.generation for one in found] == [1, 2, 3, 4]
    assert completeness(worked, "X", 4).tolist() == [1, 3 / 4, 3 / 8, 0]


def test_both_sides_of_the_worked_example(worked):
    for depth, wanted in VALUES["C_paternal, C_maternal"].items():
        assert sides(worked, "X", int(depth)) == tuple(map(Fraction, wanted))


def test_one_who_stands_in_two_places_counts_twice():
    rows = [("A", None, None), ("S", "A", None), ("D", "A", None), ("X", "S", "D")]
    found = known_ancestors(Pedigree.from_rows(rows), "X", 2)
    assert [one.known for one in found] == [2, 2]


# X is by P to 1/2, by Q to 1/4, else by somebody unnamed; P alone has a known parent.
UNCERTAIN = Pedigree.from_rows(
    [
        ("G", None, None),
        ("P", "G", None),
        ("Q", None, None),
        ("D", None, None),
        ("X", {"P": Fraction(1, 2), "Q": Fraction(1, 4)}, "D"),
        ("Y", None, "X"),
    ]
)


def test_of_an_uncertain_sire_the_named_part_counts():
    found = known_ancestors(UNCERTAIN, "X", 2)
    assert [one.known for one in found] == [Fraction(7, 4), Fraction(1, 2)]
    assert sides(UNCERTAIN, "X", 2) == (Fraction(3, 8) + Fraction(1, 8), Fraction(1, 2))
    t = dict(zip(UNCERTAIN.ids, equivalent_generations(UNCERTAIN).tolist(), strict=True))
    # The sum over known places of (1/2)^generation: 7/4 of them one back, 1/2 of one two back.
    assert t["X"] == 7 / 4 / 2 + 1 / 2 / 4
    assert t["Y"] == 1 / 2 + t["X"] / 2


def test_the_unknown_sire_of_a_litter_is_not_a_known_ancestor():
    rows = [("D", None, None), ("x", None, "D", "L"), ("y", None, "D", "L"), ("Z", "x", "y")]
    ped = Pedigree.from_rows(rows)
    assert equivalent_generations(ped).tolist() == [0, 1 / 2, 1 / 2, 1 + 1 / 2]
    assert [one.known for one in known_ancestors(ped, "Z", 2)] == [2, 2]
    assert completeness_index(ped, "x", 1) == 0


def test_a_side_that_is_unknown_makes_the_index_nought():
    rows = [("S", None, None), ("X", "S", None), ("Y", None, "S")]
    ped = Pedigree.from_rows(rows)
    assert (completeness_index(ped, "X", 1), completeness_index(ped, "Y", 1)) == (0, 0)


def test_no_generations_are_nothing_known_and_fewer_are_refused():
    assert known_ancestors(UNCERTAIN, "X", 0) == ()
    assert sides(UNCERTAIN, "X", 0) == (0, 0)
    assert completeness_index(UNCERTAIN, "X", 0) == 0
    for ask in (known_ancestors, completeness, completeness_index, sides):
        with pytest.raises(LineageError, match="generations is 0 or more, not -1"):
            ask(UNCERTAIN, "X", -1)
