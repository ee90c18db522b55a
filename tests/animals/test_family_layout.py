"""A family tree as it is laid out and drawn: each ancestor once, newest below, kin by two lines."""

import re

import pytest
from django.utils import translation

from breeding.animals.pictures.family_drawing import FamilyDrawing
from breeding.animals.pictures.family_layout import Missing, lay_out
from pedigree import Card, Pedigree

pytestmark = pytest.mark.one_database("drawings of pedigrees that are read already")


def founders(*names):
    return [(name, None, None) for name in names]


HALF_SIBS = Pedigree.from_rows(
    [("X", "S", "D"), ("S", "SS", "SD"), ("D", "SS", "DD"), *founders("SS", "SD", "DD")]
)
BACK_TO_HIM = Pedigree.from_rows(
    [("X", "A", "P"), ("P", "K", "C"), ("K", "A", "M"), *founders("A", "C", "M")]
)


def places(ped, generations=3):
    found = lay_out(ped, "X", generations)
    return {one: (place.column, place.row) for one, place in found.places.items()}


def test_a_sire_of_both_parents_stands_once_between_his_mates():
    assert places(HALF_SIBS) == {
        "X": (1.75, 0),
        "S": (1.0, 1),
        "D": (2.5, 1),
        "SD": (0.5, 2),
        "SS": (1.5, 2),
        "DD": (2.5, 2),
    }


def test_a_sire_who_is_also_an_ancestor_of_the_dam_stands_above_all_his_young():
    found = places(BACK_TO_HIM)
    assert found["A"] == (0.5, 3)
    assert found["P"][1], found["K"][1] == (1, 2)
    (pairing,) = (one for one in lay_out(BACK_TO_HIM, "X", 3).unions if one.young == ("X",))
    assert (pairing.left, pairing.right, pairing.is_kin) == ("A", "P", True)


def test_no_two_stand_in_one_place():
    rows = [("X", "p1", "p2")]
    rows += [(f"p{n}", f"g{2 * n - 1}", f"g{2 * n}") for n in (1, 2)]
    rows += [(f"g{n}", f"h{2 * n - 1}", f"h{2 * n}") for n in (1, 2, 3, 4)]
    ped = Pedigree.from_rows(rows + founders(*(f"h{n}" for n in range(1, 9))))
    found = lay_out(ped, "X", 3)
    assert found.columns == 8
    stand = [(place.column, place.row) for place in found.places.values()]
    assert len(set(stand)) == len(stand) == 15
    assert [found.places[f"h{n}"].column for n in range(1, 9)] == [n - 0.5 for n in range(1, 9)]


def test_the_parent_nobody_wrote_down_has_a_place_beside_the_known_one():
    ped = Pedigree.from_rows([("X", None, "D"), *founders("D")])
    assert places(ped) == {"X": (1.0, 0), Missing("X", "sire"): (0.5, 1), "D": (1.5, 1)}


def test_of_a_founder_nothing_stands_above():
    assert places(Pedigree.from_rows(founders("X"))) == {"X": (0.5, 0)}


def test_possible_sires_stand_side_by_side_and_hang_on_dashed_lines():
    ped = Pedigree.from_rows([("X", {"S": 0.5, "T": 0.5}, "D"), *founders("S", "T", "D")])
    found = lay_out(ped, "X", 2)
    assert [(one.left, one.right, one.is_certain) for one in found.unions] == [
        ("S", "T", False),
        ("T", "D", False),
    ]
    drawn = FamilyDrawing(found, cards={}, pictures={}, shares={"S": 0.5, "T": 0.5}).svg("Tree")
    assert drawn.count("stroke-dasharray") == 2
    assert drawn.count("possible, 50 %") == 2


def test_the_drawing_speaks_the_language_of_its_reader():
    ped = Pedigree.from_rows([("X", {"A": 0.75, "B": 0.25}, None), *founders("A", "B")])
    layout, shares = lay_out(ped, "X", 3), {"A": 0.75, "B": 0.25}
    said = {"en": ("unknown", "possible, 75 %"), "de": ("unbekannt", "möglich, 75 %")}
    for language, words in said.items():
        with translation.override(language):
            drawn = FamilyDrawing(layout, cards={}, pictures={}, shares=shares).svg("Tree")
        for word in words:
            assert word in drawn.replace("\xa0", " ")


def test_kin_are_joined_by_two_lines_and_others_by_one():
    drawn = FamilyDrawing(lay_out(HALF_SIBS, "X", 3), cards={}, pictures={}).svg("Tree")
    (kin,) = re.findall(r'<path class="kin" d="([^"]+)"', drawn)
    assert kin.count("M") == 2


def test_names_are_words_and_never_markup():
    card = Card(("<script>",), "female", "/animals/1/")
    found = lay_out(Pedigree.from_rows(founders("X")), "X", 1)
    drawn = FamilyDrawing(found, cards={"X": card}, pictures={"X": '/a"b'}).svg('<b> "')
    assert "<script" not in drawn
    assert "&lt;script&gt;" in drawn
    assert '<a href="/animals/1/"' in drawn
    assert "/a&quot;b" in drawn
