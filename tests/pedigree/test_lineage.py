"""The door of the pedigree: what is refused, by name, and what does not matter."""

import random
from fractions import Fraction

import pytest

from pedigree import (
    DuplicateAnimal,
    LineageError,
    LineageLoop,
    Pedigree,
    UnknownAnimal,
    composition,
    explain,
    family_tree,
)
from pedigree.explain.drawing import Card


def test_an_animal_among_its_own_ancestors_is_refused_with_the_loop():
    with pytest.raises(LineageLoop, match="is among its own ancestors") as said:
        Pedigree.from_rows([("Mira", "Deneb", None), ("Deneb", None, "Mira")])
    assert sorted(set(said.value.loop)) == ["Deneb", "Mira"]
    assert said.value.loop[0] == said.value.loop[-1]


def test_an_animal_that_is_its_own_parent_is_a_loop():
    with pytest.raises(LineageLoop, match="Mira, Mira"):
        Pedigree.from_rows([("Mira", None, "Mira")])


def test_a_parent_without_a_row_is_refused_by_name():
    with pytest.raises(UnknownAnimal, match="Vega, named as a parent of Mira,"):
        Pedigree.from_rows([("Mira", None, "Vega")])


def test_the_same_animal_twice_is_refused_by_name():
    with pytest.raises(DuplicateAnimal, match="Mira is given twice"):
        Pedigree.from_rows([("Mira", None, None), ("Mira", None, None)])


def test_shares_over_one_are_refused():
    with pytest.raises(LineageError, match="sum to at most 1"):
        Pedigree.from_rows(
            [("A", None, None), ("B", None, None), ("X", {"A": 0.75, "B": 0.5}, None)]
        )


def test_any_order_of_rows_gives_the_same_answers():
    rows = [("E", "C", "D"), ("C", "A", "B"), ("A", None, None), ("D", "A", "B"), ("B", None, None)]
    assert Pedigree.from_rows(rows).kinship("C", "D") == 0.25
    assert Pedigree.from_rows(rows[::-1]).kinship("C", "D") == 0.25


def test_litter_mates_by_one_of_two_males_are_full_sibs_not_less():
    # Two candidates at 1/2: relationship 1/2 by the shared sire, kinship 1/4 (exact over both
    # assignments: full sibs either way); taken as independent it would be 3/8 / 2.
    rows = [("A", None, None), ("B", None, None), ("D", None, None)]
    either = {"A": Fraction(1, 2), "B": Fraction(1, 2)}
    mates = Pedigree.from_rows([*rows, ("x", either, "D", "L"), ("y", either, "D", "L")])
    single = Pedigree.from_rows([*rows, ("x", either, "D"), ("y", either, "D")])
    assert mates.kinship("x", "y") == 0.25
    assert single.kinship("x", "y") == 0.1875
    assert explain(mates, "x", "y").inbreeding == Fraction(1, 4)
    assert explain(single, "x", "y").inbreeding == Fraction(3, 16)


def test_litter_mates_by_one_unknown_male_are_full_sibs():
    rows = [("D", None, None), ("x", None, "D", "L"), ("y", None, "D", "L"), ("z", None, "D")]
    pedigree = Pedigree.from_rows(rows)
    assert pedigree.kinship("x", "y") == 0.25
    assert pedigree.kinship("x", "z") == 0.125


def test_twenty_generations_of_a_closed_line_are_explained_exactly():
    # 6 males and 12 females a generation: far more paths than could be listed.
    chance = random.Random(19)
    sexes = [("m", 6), ("f", 12)]
    rows = [(f"0{sex}{n}", None, None) for sex, count in sexes for n in range(count)]
    for g in range(1, 20):
        for sex, count in sexes:
            for n in range(count):
                sire, dam = f"{g - 1}m{chance.randrange(6)}", f"{g - 1}f{chance.randrange(12)}"
                rows.append((f"{g}{sex}{n}", sire, dam))
    pedigree = Pedigree.from_rows(rows)
    found = explain(pedigree, "19m0", "19f3")
    assert float(found.inbreeding) == pytest.approx(pedigree.kinship("19m0", "19f3"), abs=1e-12)
    assert found.path_count > 10**6
    short = explain(pedigree, "19m0", "19f3", longest=12)
    assert sum(one.contribution for one in short.ancestors) + short.remainder == found.inbreeding


def test_the_share_through_an_unknown_parent_is_unknown_not_zero():
    pedigree = Pedigree.from_rows([("P", None, None), ("X", "P", None)])
    shares = composition(pedigree, {"P": {"motoro": Fraction(1)}})
    assert shares["X"] == {"motoro": Fraction(1, 2), None: Fraction(1, 2)}


def test_names_in_a_tree_cannot_break_its_text():
    name = 'a"b\\N<b>:x{y}'
    pedigree = Pedigree.from_rows([(name, None, None), ("X", name, None)])
    text = family_tree(pedigree, "X", cards={name: Card((name,), "male", "/animals/1/")})
    assert 'label="a\\"b\\\\N<b>:x{y}"' in text
    assert "a1:s -> " in text
    assert '"a\\"b' not in text.split("label=")[0]


def test_a_pairing_of_kin_has_a_double_line_and_a_common_ancestor_one_node():
    rows = [("G", None, None), ("S", "G", None), ("D", "G", None), ("X", "S", "D")]
    cards = {one: Card((one,)) for one, *_ in rows}
    text = family_tree(Pedigree.from_rows(rows), "X", cards=cards)
    assert text.count("label=G ") == 1
    assert text.count(":invis:") == 2


def test_too_many_generations_are_refused():
    with pytest.raises(ValueError, match="9 generations cannot be drawn"):
        family_tree(Pedigree.from_rows([("X", None, None)]), "X", generations=9)
