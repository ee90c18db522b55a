"""Family trees: who stands where, how kin and the unknown are drawn, and that names stay words."""

import re
from xml.etree import ElementTree

import pytest

from breeding.animals.pictures.tree_svg import render
from pedigree import Card, LineageError, Pedigree, UnknownAnimal, family_tree, path_picture

SVG = "{http://www.w3.org/2000/svg}"
ROWS = [
    ("Mira", "Altair", "Vega"),
    ("Altair", "Deneb", "Spica"),
    ("Vega", "Deneb", "Adhara"),
    *((name, None, None) for name in ("Deneb", "Spica", "Adhara")),
]


def drawn(dot):
    """Each node's class, text and middle, as the drawing program places it."""
    root = ElementTree.fromstring(render(dot, title="a tree", prefix="t", drawer="module"))
    found = {}
    for group in root.iter(f"{SVG}g"):
        if group.get("class", "").startswith("node"):
            texts = group.findall(f".//{SVG}text")
            where = [(float(t.get("x")), float(t.get("y"))) for t in texts]
            found[group.get("id").removeprefix("t-")] = (
                group.get("class"),
                [t.text for t in texts],
                where,
            )
    return found


def test_a_sire_stands_left_and_a_dam_right_and_both_above_their_young():
    nodes = drawn(family_tree(Pedigree.from_rows(ROWS), "Mira"))
    place = {texts[0]: where[0] for _, texts, where in nodes.values() if texts}
    assert place["Altair"][0] < place["Mira"][0] < place["Vega"][0]
    assert place["Deneb"][1] < place["Altair"][1] < place["Mira"][1]


def test_a_common_ancestor_is_one_node_and_its_kin_pairing_a_double_line():
    text = family_tree(Pedigree.from_rows(ROWS), "Mira")
    nodes = drawn(text)
    assert [texts for _, texts, _ in nodes.values()].count(["Deneb"]) == 1
    assert len(re.findall(r'class="line kin" color="#58645f:invis:#58645f"', text)) == 2


def test_shapes_follow_the_sex():
    cards = {"Mira": Card(("Mira",), "female"), "Altair": Card(("Altair",), "male")}
    text = family_tree(Pedigree.from_rows(ROWS), "Mira", generations=1, cards=cards)
    assert re.search(r"a1 \[label=Mira .*shape=ellipse", text)
    assert re.search(r"a2 \[label=Altair .*shape=box", text)
    assert re.search(r"a3 \[label=Vega .*shape=diamond", text)


def test_an_unknown_parent_is_a_dashed_diamond_with_the_word():
    ped = Pedigree.from_rows([("Mira", None, "Vega"), ("Vega", None, None)])
    nodes = drawn(family_tree(ped, "Mira"))
    assert [texts for kind, texts, _ in nodes.values() if "unknown" in kind.split()] == [
        ["unknown"]
    ]


def test_an_animal_of_unknown_parents_is_drawn_alone():
    nodes = drawn(family_tree(Pedigree.from_rows([("Mira", None, None)]), "Mira", generations=5))
    assert [texts for _, texts, _ in nodes.values()] == [["Mira"]]


def test_possible_sires_are_dashed_with_their_shares_and_the_rest_is_unknown():
    rows = [("A", None, None), ("B", None, None), ("D", None, None)]
    ped = Pedigree.from_rows([*rows, ("X", {"A": "1/2", "B": "1/3"}, "D")])
    nodes = drawn(family_tree(ped, "X"))
    shares = sorted(texts[0] for kind, texts, _ in nodes.values() if "share" in kind.split())
    assert shares == ["1/2", "1/3", "1/6"]


def test_litter_mates_of_one_unknown_sire_hang_on_one_pairing():
    rows = [("D", None, None), ("x", None, "D", "L"), ("y", None, "D", "L"), ("Z", "x", "y")]
    text = family_tree(Pedigree.from_rows(rows), "Z")
    assert text.count("label=unknown") == 1


@pytest.mark.parametrize(
    "name", ['a"b', "back\\slash\\N", "<b>bold</b>", "port:n", "{x|y}", "ends\\"]
)
def test_names_stay_words(name):
    ped = Pedigree.from_rows([(name, None, None), ("X", name, None)])
    nodes = drawn(family_tree(ped, "X"))
    assert nodes["a1"][1] == [name]


def test_where_many_stand_side_by_side_details_are_left_out():
    rows = [(f"{n}", f"{2 * n}", f"{2 * n + 1}") for n in range(1, 8)]
    rows += [(f"{n}", None, None) for n in range(8, 16)]
    cards = {name: Card((name,), details=("born 2024",)) for name, *_ in rows}
    nodes = drawn(family_tree(Pedigree.from_rows(rows), "1", cards=cards))
    texts = {texts[0]: texts[1:] for _, texts, _ in nodes.values() if texts}
    assert texts["4"] == ["born 2024"]
    assert texts["8"] == []


def test_a_picture_of_paths_holds_only_those_on_them():
    nodes = drawn(path_picture(Pedigree.from_rows(ROWS), "Altair", "Vega"))
    names = sorted(texts[0] for _, texts, _ in nodes.values() if texts)
    assert names == ["Altair", "Deneb", "Vega", "their young"]


def test_paths_that_are_not_drawn_are_said():
    rows = [("G", None, None), ("H", None, None), ("S", "G", "H"), ("D", "G", "H")]
    assert "the 1 shortest of 2 paths" in path_picture(Pedigree.from_rows(rows), "S", "D", most=1)


def test_unrelated_parents_are_drawn_without_a_line_between_them():
    text = path_picture(Pedigree.from_rows([("S", None, None), ("D", None, None)]), "S", "D")
    assert "invis" not in text
    assert "their young" in text


def test_impossible_requests_are_refused():
    ped = Pedigree.from_rows(ROWS)
    with pytest.raises(LineageError, match="9 generations cannot be drawn; allowed is 0 to 8"):
        family_tree(ped, "Mira", generations=9)
    with pytest.raises(UnknownAnimal):
        family_tree(ped, "Nobody")
    with pytest.raises(LineageError, match="0 paths cannot be drawn"):
        path_picture(ped, "Altair", "Vega", most=0)
